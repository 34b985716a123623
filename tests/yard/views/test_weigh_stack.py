"""A whole stack on the scale."""

import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from tests.make import make_slab, make_stack
from yard.models import StackWeighing
from yard.services.samples import sample_add
from yard.services.stacks import stack_take_down
from yard.services.weighing_outlook import stack_weighing_outlook


def text(answer):
    return answer.content.decode()


@pytest.fixture
def stack(yard):
    day = timezone.localdate() - timedelta(days=40)
    slabs = [make_slab(tag=f"W-{n}", sawn_on=day) for n in range(3)]
    return make_stack(tag="ST-9", slabs=slabs, at=timezone.now() - timedelta(days=39))


def send(client, stack, weight, tare="", follow=False, **more):
    chosen = {"weight": weight, "tare": tare, "unit": "lb", "client_key": str(uuid.uuid4())} | more
    return client.post(f"/weigh/{stack.code}/stack/", chosen, follow=follow)


def test_a_whole_stack_is_kept_with_what_is_not_wood(hand_client, stack):
    outlook = stack_weighing_outlook(stack=stack)
    page = text(send(hand_client, stack, f"{outlook.high_lb * 0.8 + 60:.0f}", "60", follow=True))
    assert StackWeighing.objects.get().tare_lb == 60
    assert "60.00 lb of it not wood" in page
    assert "MC now" in page


def test_a_stack_lighter_than_its_stickers_is_refused(hand_client, stack):
    answer = send(hand_client, stack, "50", "60")
    assert answer.status_code == 422
    assert "as heavy as the whole" in text(answer)
    assert not StackWeighing.objects.exists()


def test_too_heavy_is_asked_about_and_soaked_wood_is_the_limit(hand_client, stack):
    outlook = stack_weighing_outlook(stack=stack)
    heavy = f"{(outlook.high_lb + outlook.ceiling_lb) / 2:.0f}"
    assert f'name="confirmed" value="{heavy}"' in text(send(hand_client, stack, heavy))
    assert send(hand_client, stack, heavy, confirmed=heavy).status_code == 302
    over = f"{outlook.ceiling_lb * 1.1:.0f}"
    assert send(hand_client, stack, over, confirmed=over).status_code == 422


def test_its_samples_are_offered_and_one_can_be_named(hand_client, stack):
    sample = sample_add(cohort=stack.cohorts.get(), name="East board", place_note="course 4")
    page = text(hand_client.get(f"/weigh/{stack.code}/stack/"))
    assert f"/weigh/{sample.code}/" in page
    assert "course 4" in page
    assert f"/cohorts/{stack.cohorts.get().pk}/samples/new/" in page


def test_the_code_of_a_stack_and_of_a_slab_lead_to_their_own_pages(hand_client, stack):
    assert hand_client.get(f"/weigh/{stack.code}/").headers["Location"] == f"/weigh/{stack.code}/stack/"
    slab = stack.slabs_now.first()
    assert hand_client.get(f"/weigh/{slab.code}/stack/").headers["Location"] == f"/weigh/{slab.code}/"


def test_a_stack_that_was_taken_down_holds_nothing_to_weigh(hand_client, stack):
    stack_take_down(stack=stack, at=timezone.now(), by=None)
    page = text(hand_client.get(f"/weigh/{stack.code}/stack/"))
    assert "holds no wood any more" in page
    assert send(hand_client, stack, "400").status_code == 200
    assert not StackWeighing.objects.exists()

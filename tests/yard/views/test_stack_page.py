"""One stack's page, and what is done to it: change, move, add, take out, take down."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from tests.make import BUILT_AT, make_bay, make_estimate, make_slab, make_stack
from yard.models import Membership, Slab, Stack
from yard.services.stacks import stack_move, stack_take_down, stack_take_out

DAY = timedelta(days=1)


def url(name, stack):
    return reverse(f"yard:stack-{name}", args=[stack.pk])


@pytest.fixture
def stack(yard):
    return make_stack("ST-1", slabs=[make_slab(f"A-{n}") for n in range(3)], bay=make_bay("Row A"))


def edited(stack, **more):
    return {
        "version": stack.version, "tag": stack.tag, "sticker_in": "1", "sticker_width_in": "1 1/4",
        "sticker_spacing_in": "16", "width_ft": "4", "length_ft": "8", "layout": "A-0, A-1\nA-2",
    } | more  # fmt: skip


def test_the_page_tells_where_it_stands_what_lies_in_it_and_how_it_got_there(viewer_client, stack):
    stack_move(stack=stack, bay=make_bay("Shed 2", "shed"), at=BUILT_AT + DAY, by=None)
    page = viewer_client.get(url("page", stack)).content.decode()
    for words in ("Stack ST-1", "Shed 2", "Row A", "A-0", "A-2", "66.0 bf", "Moved", 'id="stack-moisture"'):
        assert words in page
    assert "Show the working" in page
    assert "Take down" not in page  # a viewer looks


def test_the_estimate_stands_with_its_interval_and_the_date_for_the_target(viewer_client, stack):
    make_estimate(stack.cohorts.get(), mean_pct=27.4, low_pct=24.0, high_pct=31.0, ready_on=timezone.localdate())
    page = viewer_client.get(url("page", stack)).content.decode()
    assert "27.4%" in page
    assert "24.0% to 31%" in page
    assert f"About {timezone.localdate():%-d %b %Y}" in page


def test_the_weight_now_goes_by_the_estimate(viewer_client, stack):
    page = viewer_client.get(url("page", stack)).content.decode()
    assert "Weight now" not in page
    assert "Green weight" in page
    make_estimate(stack.cohorts.get(), mean_pct=20.0)
    page = viewer_client.get(url("page", stack)).content.decode()
    # three slabs of 1,584 in² x 2.125 in = 70.125 solid bf of red oak, 0.56, at 20%: 62.4/12 x 0.56 x 1.2 a bf
    assert f"{round(70.125 * 62.4 / 12 * 0.56 * 1.2, -1):,.0f} lb" in page


def test_a_stack_taken_down_keeps_its_page_without_buttons(hand_client, stack):
    stack_take_down(stack=stack, at=BUILT_AT + DAY, by=None)
    page = hand_client.get(url("page", stack)).content.decode()
    assert "Taken down 11 Mar 2025" in page
    assert "What lay in it before (3)" in page
    assert url("move", stack) not in page


def test_a_large_stack_takes_no_more_queries_than_a_small_one(viewer_client, yard):
    counts = []
    for size in (2, 30):
        slabs = [make_slab(species_key=["oak-white", "walnut-black"][n % 2]) for n in range(size)]
        stack = make_stack(slabs=slabs)
        for n in range(1, size // 4 + 1):
            stack_move(stack=stack, bay=make_bay(), at=BUILT_AT + n * DAY, by=None)
        for cohort in stack.cohorts.all():
            make_estimate(cohort, mean_pct=30.0)
        if size > 2:
            out = list(Slab.objects.filter(stack=stack)[:5])
            stack_take_out(stack=stack, slabs=out, at=BUILT_AT + 20 * DAY, by=None)
        with CaptureQueriesContext(connection) as queries:
            assert viewer_client.get(url("page", stack)).status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_changes_of_figures_and_courses_are_kept_together(hand_client, stack):
    response = hand_client.post(url("edit", stack), edited(stack, covered="on", target_mc_pct="12"))
    assert response.url == url("page", stack)
    stack.refresh_from_db()
    assert (stack.sticker_in, stack.covered, stack.target_mc_pct, stack.version) == (1.0, True, 12.0, 2)
    laid = stack.memberships.order_by("course", "place").values_list("slab__tag", "course")
    assert list(laid) == [("A-0", 1), ("A-1", 1), ("A-2", 2)]


def test_courses_that_leave_a_slab_out_are_refused_and_no_figure_is_kept(hand_client, stack):
    response = hand_client.post(url("edit", stack), edited(stack, layout="A-0\nA-2"))
    assert response.status_code == 422
    assert "Left out: A-1" in response.content.decode()
    assert Stack.objects.get(pk=stack.pk).sticker_in == 0.75


def test_two_people_changing_one_stack_see_each_other(hand_client, owner_client, stack):
    seen = edited(stack)
    hand_client.post(url("edit", stack), seen | {"note": "by the fence"})
    response = owner_client.post(url("edit", stack), seen | {"note": "by the gate"})
    page = response.content.decode()
    assert response.status_code == 409
    assert "by the fence" in page
    assert "by the gate" in page
    assert Stack.objects.get(pk=stack.pk).note == "by the fence"


def test_a_move_takes_one_tap_on_the_bay_and_goes_back_to_where_it_came_from(hand_client, stack):
    shed = make_bay("Shed 2", "shed")
    page = hand_client.get(url("move", stack) + "?from=map").content.decode()
    assert f'name="bay" value="{shed.pk}"' in page
    response = hand_client.post(url("move", stack), {"bay": shed.pk, "from": "map"})
    assert response.url == reverse("yard:map")
    assert Stack.objects.get(pk=stack.pk).bay == shed
    assert hand_client.post(url("move", stack), {"bay": make_bay().pk}).url == url("page", stack)


def test_a_move_before_the_last_one_is_refused_with_the_reason(hand_client, stack):
    response = hand_client.post(url("move", stack), {"bay": make_bay().pk, "at": "2025-03-09T10:00"})
    assert response.status_code == 422
    assert "ST-1 came to Row A on 10 Mar 2025" in response.content.decode()


def test_slabs_are_laid_on_top_and_one_that_is_elsewhere_is_refused(hand_client, stack):
    new = make_slab("B-1")
    hand_client.post(url("add", stack), {"slabs": "B-1"})
    assert Membership.objects.get(slab=new).stack == stack
    make_stack("ST-2", slabs=[make_slab("C-1")])
    response = hand_client.post(url("add", stack), {"slabs": "C-1"})
    assert response.status_code == 422
    assert "C-1 is in ST-2" in response.content.decode()


def test_ticking_slabs_to_add_only_writes_them_into_the_field(hand_client, stack):
    new = make_slab("B-1")
    response = hand_client.post(url("add", stack), {"slabs": "", "picked": [new.pk], "pick": "yes"})
    assert response.status_code == 200
    assert "B-1</textarea>" in response.content.decode()
    assert not Membership.objects.filter(slab=new).exists()


def test_ticked_slabs_are_taken_out_after_a_second_look(hand_client, stack):
    slab, bay = Slab.objects.get(tag="A-1"), make_bay("Store")
    page = hand_client.get(url("take-out", stack) + f"?slab={slab.pk}").content.decode()
    assert "A-1" in page
    assert "A-0" not in page
    hand_client.post(url("take-out", stack), {"slab": [slab.pk], "lie_in": bay.pk})
    slab.refresh_from_db()
    assert (slab.stack, slab.bay) == (None, bay)
    assert hand_client.get(url("take-out", stack)).url == url("page", stack)


def test_a_stack_is_taken_down_once(hand_client, stack):
    hand_client.post(url("take-down", stack), {"note": "sold on"})
    assert Stack.objects.get(pk=stack.pk).taken_down_at is not None
    assert hand_client.post(url("take-down", stack)).url == url("page", stack)
    assert Slab.objects.filter(stack=stack).count() == 0


@pytest.mark.parametrize("name", ["edit", "move", "add", "take-out", "take-down"])
def test_only_workers_change_a_stack(client, viewer_client, stack, name):
    assert "/login/" in client.post(url(name, stack)).url
    assert viewer_client.post(url(name, stack)).status_code == 403
    assert viewer_client.get(url(name, stack)).status_code == 403


def test_its_label_is_one_link_away(hand_client, stack):
    link = f"{reverse('yard:labels')}?noun=stack&ids={stack.pk}"
    assert link.replace("&", "&amp;") in hand_client.get(url("page", stack)).content.decode()
    assert "ST-1" in hand_client.get(link).content.decode()

"""An oven-dried section through the screens."""

import re
import uuid
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from tests.make import make_slab, make_stack
from yard.models import OvenSection, Weighing
from yard.services.samples import sample_of_slab


def text(answer):
    return answer.content.decode()


@pytest.fixture
def slab(yard):
    day = timezone.localdate() - timedelta(days=40)
    return make_stack(slabs=[make_slab(tag="W-1", sawn_on=day)], at=timezone.now() - timedelta(days=39)).slabs_now.get()


def send(client, code, wet="170", dry="100", follow=False, **more):
    chosen = {"wet": wet, "oven_dry": dry, "bench_unit": "g", "unit": "lb", "client_key": str(uuid.uuid4())} | more
    return client.post(f"/weigh/{code}/oven/", chosen, follow=follow)


def test_a_section_is_kept_and_answered(hand_client, slab):
    page = text(send(hand_client, slab.code, follow=True))
    section = OvenSection.objects.get()
    assert section.mc_pct == pytest.approx(70.0)
    assert (section.typed_value, section.typed_unit) == ("170 / 100", "g")
    assert "Oven section: 70%" in page
    assert "MC now" in page


def test_both_units_are_remembered_on_the_device(hand_client, slab):
    send(hand_client, slab.code, bench_unit="oz", unit="kg")
    page = text(hand_client.get(f"/weigh/{slab.code}/oven/"))
    assert re.search(r'name="bench_unit" value="oz"[^>]*checked', page)


@pytest.mark.parametrize(
    ("wet", "dry", "field", "words"),
    [
        ("100", "170", "oven_dry", "the wrong way round"),
        ("100", "100", "oven_dry", "the wrong way round"),
        ("-170", "100", "wet", "more than nothing"),
        ("170", "", "oven_dry", "required"),
        ("1700", "100", "oven_dry", "soaked through, holds about"),
        ("17o", "100", "wet", "."),
    ],
)
def test_weights_that_cannot_be_are_refused_beside_the_field(hand_client, slab, wet, dry, field, words):
    answer = send(hand_client, slab.code, wet, dry)
    assert answer.status_code == 422
    page = text(answer)
    assert re.search(words, re.search(rf'id="id_{field}_error".*?</p>', page, re.S)[0])
    assert f'value="{wet}"' in page
    assert not OvenSection.objects.exists()


def test_a_very_wet_section_is_kept_when_insisted_on_but_never_an_impossible_one(hand_client, slab):
    page = text(send(hand_client, slab.code, "230", "100"))
    assert 'name="confirmed" value="230/100"' in page
    assert send(hand_client, slab.code, "230", "100", confirmed="230/100").status_code == 302
    answer = send(hand_client, slab.code, "1700", "100", confirmed="1700/100")
    assert answer.status_code == 422
    assert OvenSection.objects.count() == 1


def test_a_samples_weight_needs_its_sample(hand_client, slab):
    sample_of_slab(slab=slab)
    answer = send(hand_client, slab.code, sample_weight="110")
    assert answer.status_code == 422
    assert "Say which sample weighs that" in text(answer)
    assert not OvenSection.objects.exists()
    assert not Weighing.objects.exists()


def test_cut_days_ago_and_dried_since_is_dated_by_the_cut(hand_client, slab):
    cut = timezone.localtime(timezone=ZoneInfo("America/Chicago")) - timedelta(days=2)
    send(hand_client, slab.code, cut_at=cut.strftime("%Y-%m-%dT%H:%M"))
    assert abs(OvenSection.objects.get().cut_at - cut) < timedelta(minutes=1)
    ahead = timezone.localtime() + timedelta(days=2)
    answer = send(hand_client, slab.code, cut_at=ahead.strftime("%Y-%m-%dT%H:%M"))
    assert "has not come yet" in text(answer)


def test_the_same_section_sent_twice_is_one(hand_client, slab):
    key = str(uuid.uuid4())
    for _ in range(2):
        assert send(hand_client, slab.code, client_key=key).status_code == 302
    assert OvenSection.objects.count() == 1


def test_only_workers_cut_sections(viewer_client, slab):
    assert viewer_client.get(f"/weigh/{slab.code}/oven/").status_code == 403
    assert send(viewer_client, slab.code).status_code == 403

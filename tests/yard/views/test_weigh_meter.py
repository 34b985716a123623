"""A meter reading: where it counts, where it is kept without weight, what is refused."""

import re
import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from tests.make import make_slab, make_stack
from yard.models import MeterReading


def text(answer):
    return answer.content.decode()


@pytest.fixture
def slab(yard):
    day = timezone.localdate() - timedelta(days=400)
    slabs = [make_slab(tag="W-1", sawn_on=day), make_slab(tag="W-2", sawn_on=day, species_key="walnut-black")]
    return make_stack(tag="ST-9", slabs=slabs, at=timezone.now() - timedelta(days=399)).slabs_now.get(tag="W-1")


def send(client, code, reading, follow=False, **more):
    chosen = {"reading_pct": reading, "depth_in": "1/2", "client_key": str(uuid.uuid4())} | more
    return client.post(f"/weigh/{code}/meter/", chosen, follow=follow)


def test_a_reading_is_kept_with_depth_temperature_and_the_meters_species(hand_client, slab):
    page = text(send(hand_client, slab.code, "18.5", wood_temp_f="40 °F", meter_species="Oak 2", follow=True))
    reading = MeterReading.objects.get()
    assert (reading.reading_pct, reading.depth_in, reading.wood_temp_f) == (18.5, 0.5, 40.0)
    assert (reading.meter_species, reading.slab, reading.cohort) == ("Oak 2", slab, slab.cohort)
    assert reading.corrected_pct > 18.5
    assert f"corrected {reading.corrected_pct:.1f}%" in page
    assert "MC now" in page


def test_depth_is_offered_where_pins_read_the_mean_and_the_species_setting_is_remembered(hand_client, slab):
    page = text(hand_client.get(f"/weigh/{slab.code}/meter/"))
    assert re.search(r'name="depth_in" value="0.4375"', page)  # 0.22 of 2.125 in is 0.47, to the sixteenth 7/16
    send(hand_client, slab.code, "18", meter_species="Oak 2")
    assert 'value="Oak 2"' in text(hand_client.get(f"/weigh/{slab.code}/meter/"))


def test_sixty_percent_is_asked_about_and_kept_without_weight_when_insisted_on(hand_client, slab):
    answer = send(hand_client, slab.code, "60")
    page = text(answer)
    assert answer.status_code == 422
    error = re.search(r'id="id_reading_pct_error".*?</p>', page, re.S)[0]
    assert "Meter reading 60% is outside 7 to 28%" in error
    assert "weigh a sample" in error
    assert 'value="60"' in page
    assert not MeterReading.objects.exists()
    page = text(send(hand_client, slab.code, "60", confirmed="60", follow=True))
    assert not MeterReading.objects.get().usable
    assert "counts for nothing" in page


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("reading_pct", "-3", "."),
        ("reading_pct", "160", "cannot be"),
        ("reading_pct", "damp", "."),
        ("depth_in", "5", "at most"),
        ("depth_in", "2 1/2", "deeper than the wood is thick"),
        ("depth_in", "", "required"),
        ("wood_temp_f", "900", "outside -100 to 500"),
        ("wood_temp_f", "400", "at most"),
        ("wood_temp_f", "warm", "70"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(hand_client, slab, field, typed, words):
    chosen = {"reading": typed} if field == "reading_pct" else {"reading": "18", field: typed}
    answer = send(hand_client, slab.code, **chosen)
    page = text(answer)
    assert answer.status_code == 422
    assert re.search(words, re.search(rf'id="id_{field}_error".*?</p>', page, re.S)[0])
    assert not MeterReading.objects.exists()


def test_a_stack_of_two_woods_asks_which_one(hand_client, slab):
    stack = slab.stack
    page = text(hand_client.get(f"/weigh/{stack.code}/meter/"))
    assert "Which wood" in page
    assert "Black walnut" in page
    walnut = stack.cohorts.get(species_key="walnut-black")
    assert send(hand_client, stack.code, "18").status_code == 422
    assert send(hand_client, stack.code, "18", cohort=walnut.pk).status_code == 302
    assert MeterReading.objects.get().cohort == walnut
    other = make_stack().cohorts.get()
    assert send(hand_client, stack.code, "18", cohort=other.pk).status_code == 422, "a wood of another stack"


def test_the_same_reading_sent_twice_is_one(hand_client, slab):
    key = str(uuid.uuid4())
    for _ in range(2):
        send(hand_client, slab.code, "18", client_key=key)
    assert MeterReading.objects.count() == 1


def test_only_workers_read_meters(viewer_client, client, slab):
    assert viewer_client.get(f"/weigh/{slab.code}/meter/").status_code == 403
    assert send(viewer_client, slab.code, "18").status_code == 403
    assert client.get(f"/weigh/{slab.code}/meter/").status_code == 302

"""One piece on the scale: expected before typing, asked about when hardly possible, and what it changed."""

import re
import uuid
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.make import make_slab, make_stack, make_yard
from yard import quantities
from yard.models import Estimate, OvenSection, Sample, Weighing
from yard.services.estimates import estimates_refresh
from yard.services.samples import sample_add, sample_of_slab
from yard.services.weighing_outlook import weighing_outlook
from yard.services.weighings import weighing_record


def text(answer):
    return answer.content.decode()


@pytest.fixture
def stack(yard):
    day = timezone.localdate() - timedelta(days=60)
    return make_stack(
        tag="ST-9", slabs=[make_slab(tag=f"W-{n}", sawn_on=day) for n in (1, 2)], at=timezone.now() - timedelta(days=59)
    )  # fmt: skip


@pytest.fixture
def slab(stack):
    return stack.slabs_now.get(tag="W-1")


def send(client, code, weight, unit="lb", follow=False, **more):
    return client.post(
        f"/weigh/{code}/", {"weight": weight, "unit": unit, "client_key": str(uuid.uuid4())} | more, follow=follow
    )  # fmt: skip


def test_what_it_should_weigh_stands_there_before_anything_is_typed(hand_client, slab):
    page = text(hand_client.get(f"/weigh/{slab.code}/"))
    assert "Slab W-1" in page
    outlook = weighing_outlook(sample=Sample(cohort=slab.cohort, slab=slab, name="W-1"))
    assert f"{quantities.weight(outlook.low_lb).split()[0]}</span> to" in page
    assert quantities.weight(outlook.high_lb) in page
    assert "By its sizes and the usual weight of the wood." in page


def test_a_weighing_is_kept_and_answered_with_what_it_changed(hand_client, slab):
    estimates_refresh(cohort_ids=[slab.cohort_id], because="first")
    sample = sample_of_slab(slab=slab)
    weighing_record(sample=sample, weight_lb=120.0, by=None, made_at=timezone.now() - timedelta(days=40))
    before = Estimate.objects.get(is_current=True)
    expected = f"{weighing_outlook(sample=Sample.objects.get()).expected_lb:.1f}"
    answer = send(hand_client, slab.code, expected, follow=True)
    page = text(answer)
    now = Estimate.objects.get(is_current=True)
    assert now.pk != before.pk
    after, was = (f"{estimate.mean_pct:.0f}" for estimate in (now, before))
    said = re.search(rf"MC now {after}(\.\d)?% \(was {was}(\.\d)?%\), ready about \d+ \w+[^<]*", page)
    assert said
    weighing = Weighing.objects.latest("id")
    assert (weighing.weight_lb, weighing.typed_value, weighing.typed_unit) == (float(expected), expected, "lb")
    assert said[0] in text(hand_client.get(answer.redirect_chain[-1][0])), "opened again it says the same"


def test_the_same_form_sent_twice_is_one_weighing(hand_client, slab):
    key = str(uuid.uuid4())
    first = send(hand_client, slab.code, "110", client_key=key)
    again = send(hand_client, slab.code, "110", client_key=key)
    assert first.headers["Location"] == again.headers["Location"]
    assert Weighing.objects.count() == 1
    assert Sample.objects.count() == 1


def test_a_weight_in_kilograms_is_kept_as_typed_and_the_unit_is_remembered(hand_client, slab):
    send(hand_client, slab.code, "50,5", "kg")
    weighing = Weighing.objects.get()
    assert weighing.weight_lb == pytest.approx(111.33, abs=0.01)  # 50.5/0.45359237
    assert (weighing.typed_value, weighing.typed_unit) == ("50.5", "kg")
    page = text(hand_client.get(f"/weigh/{slab.code}/"))
    assert re.search(r'value="kg"[^>]*checked', page)
    assert "50.5 kg" in page


def test_a_unit_typed_behind_the_figure_counts(hand_client, slab):
    send(hand_client, slab.code, "50 kg", "lb")
    assert Weighing.objects.get().typed_unit == "kg"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "This field is required"),
        ("heavy", "12.4 lb"),
        ("-5", "more than nothing"),
        ("0", "A weight of nothing"),
        ("12 m", "lb"),
        ("1,2,3", ""),
    ],
)
def test_what_is_no_weight_is_refused_beside_the_field_and_stays_typed(hand_client, slab, typed, words):
    answer = send(hand_client, slab.code, typed)
    page = text(answer)
    assert answer.status_code == 422
    error = re.search(r'id="id_weight_error".*?</p>', page, re.S)
    assert error, "the message stands beside the field"
    assert re.search(words, error[0])
    assert f'value="{typed}"' in page or not typed
    assert not Weighing.objects.exists()
    assert not Sample.objects.exists(), "nothing half saved"


def test_a_weight_above_the_green_weight_is_asked_about_then_kept_when_insisted_on(hand_client, slab):
    answer = send(hand_client, slab.code, "150")
    page = text(answer)
    assert answer.status_code == 422
    assert "heavier than W-1 can well have been when green" in page
    assert 'name="confirmed" value="150"' in page
    assert 'value="150"' in page
    assert not Weighing.objects.exists()
    other = send(hand_client, slab.code, "151", confirmed="150")
    assert other.status_code == 422, "another figure is asked about anew"
    assert send(hand_client, slab.code, "150", confirmed="150").status_code == 302
    assert Weighing.objects.get().weight_lb == 150.0


def test_a_weight_that_no_such_piece_has_is_refused_without_a_way_round(hand_client, slab):
    for typed in ("900", "5"):
        page = text(send(hand_client, slab.code, typed, confirmed=typed))
        assert "Check the decimal point, the unit" in page
        assert 'name="confirmed" value' not in page
    assert not Weighing.objects.exists()


def test_a_time_to_come_or_before_the_saw_is_refused_and_an_earlier_one_is_kept(hand_client, slab):
    ahead = (timezone.localtime() + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")
    assert "has not come yet" in text(send(hand_client, slab.code, "110", made_at=ahead))
    assert "This wood was sawn on" in text(send(hand_client, slab.code, "110", made_at="2020-01-01T10:00"))
    assert not Weighing.objects.exists()
    earlier = timezone.localtime(timezone=ZoneInfo("America/Chicago")) - timedelta(days=3)
    assert send(hand_client, slab.code, "110", made_at=earlier.strftime("%Y-%m-%dT%H:%M")).status_code == 302
    weighing = Weighing.objects.get()
    assert abs(weighing.made_at - earlier) < timedelta(minutes=1)
    assert weighing.received_at > weighing.made_at


def test_a_slab_in_no_stack_says_what_to_do(hand_client, yard):
    loose = make_slab(tag="L-1")
    page = text(hand_client.get(f"/weigh/{loose.code}/"))
    assert "L-1 is in no stack yet" in page
    assert 'id="weigh-form"' not in page
    send(hand_client, loose.code, "100")
    assert not Weighing.objects.exists()


def test_the_handbooks_sample_through_the_screens(hand_client, stack):
    # AH-188 worked example (memory high): 4.46 lb at 92.4% is 2.32 lb oven-dry; at 4.14 lb it is at 78%.
    sample = sample_add(cohort=stack.cohorts.get(), name="A-3")
    section = {
        "wet": "192.4", "oven_dry": "100", "bench_unit": "g",
        "sample": sample.pk, "sample_weight": "4.46", "unit": "lb",
        "client_key": str(uuid.uuid4()), "cut_at": (timezone.now() - timedelta(days=30)).strftime("%Y-%m-%dT%H:%M"),
    }  # fmt: skip
    page = text(hand_client.post(f"/weigh/{sample.code}/oven/", section, follow=True))
    assert OvenSection.objects.get().mc_pct == pytest.approx(92.4)
    assert "2.32 lb" in page
    assert ">92%<" in page
    # Insisted on: how fast it should have dried in thirty days is another matter, and another in each season.
    page = text(send(hand_client, sample.code, "4.14", follow=True, confirmed="4.14"))
    assert ">78%<" in page
    page = text(hand_client.get(f"/weigh/{sample.code}/"))
    assert ">78%<" in page
    assert "2.32 lb" in page
    assert "Show the working" in page


def test_without_a_place_the_weight_is_kept_and_the_page_says_why_there_is_no_estimate(hand_client, slab):
    make_yard(lat_deg=None, lon_deg=None)
    page = text(send(hand_client, slab.code, "110", follow=True))
    assert Weighing.objects.count() == 1
    assert "choose the yard&#x27;s place" in page or "choose the yard's place" in page


def test_it_works_with_htmx_too_since_the_form_is_plain(hand_client, slab):
    answer = hand_client.post(
        f"/weigh/{slab.code}/", {"weight": "110", "unit": "lb"}, headers={"HX-Request": "true"}
    )  # fmt: skip
    assert answer.status_code == 302


def test_the_page_takes_as_many_queries_for_many_weights_as_for_few(hand_client, slab):
    sample = sample_of_slab(slab=slab)

    def queries():
        with CaptureQueriesContext(connection) as captured:
            assert hand_client.get(f"/weigh/{sample.code}/").status_code == 200
        return len(captured)

    weighing_record(sample=sample, weight_lb=120.0, by=None, made_at=timezone.now() - timedelta(days=30))
    few = queries()
    for n in range(20):
        weighing_record(sample=sample, weight_lb=120.0 - n, by=None, made_at=timezone.now() - timedelta(days=20 - n))
    assert queries() == few

"""The first page: what to do, what goes wrong, what is ready."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.make import make_estimate, make_log, make_slab, make_stack, make_yard


def text(answer):
    return answer.content.decode()


@pytest.fixture
def summer(monkeypatch):
    """A day in July, whatever the calendar says."""
    day = date(2025, 7, 15)
    monkeypatch.setattr("yard.views.today.timezone.localdate", lambda *_: day)
    return day


def narrow():
    return [
        {"what": "oven section", "how": "cut a section", "interval_now_days": 90.0, "interval_after_days": 30.0,
         "saved_share": 0.67}
    ]  # fmt: skip


def test_a_quiet_yard_says_so(hand_client, yard):
    assert "Nothing asks for you today." in text(hand_client.get("/"))


def test_an_owner_of_an_empty_yard_is_led_to_set_it_up(owner_client):
    make_yard(set_up_at=None)
    assert owner_client.get("/").headers["Location"] == "/set-up/"


def test_each_thing_to_do_has_its_number_and_its_why(hand_client, yard, summer):
    log = make_log("L-7", species_key="pine-eastern-white", arrived_on=summer - timedelta(days=40))
    sawn = make_log("L-8", arrived_on=summer - timedelta(days=12))
    make_slab(log=sawn, sawn_on=summer - timedelta(days=9))
    page = text(hand_client.get("/"))
    assert f"/logs/{log.pk}/" in page
    assert "41 warm days" in page
    assert "Sticker the northern red oak of log L-8" in page
    assert "10 warm days" in page
    assert "common practice, no source" in page


def test_what_would_tell_most_what_goes_wrong_and_what_is_ready_stand_together(hand_client, yard):
    worth, wrong, ready = (make_stack(tag=tag) for tag in ("WORTH", "WRONG", "THERE"))
    soon = timezone.localdate() + timedelta(days=40)
    make_estimate(worth.cohorts.get(), narrow=narrow(), ready_on=soon, rate_pct_day=0.3)
    make_estimate(wrong.cohorts.get(), mean_pct=50.0, ready_on=soon, rate_pct_day=2.5, safe_rate_pct_day=1.2)
    make_estimate(ready.cohorts.get(), mean_pct=16.0, ready_on=timezone.localdate(), reached_now=0.97, rate_pct_day=0.1)
    page = text(hand_client.get("/"))
    assert "60 days surer" in page
    assert f"/weigh/{worth.code}/oven/" in page
    assert "2.5% a day" in page
    assert "THERE, northern red oak 8/4" in page
    assert "1 ready, 2 soon" in page


def test_the_page_takes_as_many_queries_for_a_large_yard_as_for_a_small_one(hand_client, yard):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            assert hand_client.get("/").status_code == 200
        return len(captured)

    def grow(number):
        day = timezone.localdate() - timedelta(days=150)
        for n in range(number):
            make_log(f"L-{number}-{n}", arrived_on=day)
            make_slab(log=make_log(f"S-{number}-{n}", arrived_on=day), sawn_on=day)
            cohort = make_stack(slabs=1).cohorts.get()
            make_estimate(cohort, narrow=narrow(), ready_on=timezone.localdate() + timedelta(days=40), rate_pct_day=3.0)
            make_estimate(make_stack(slabs=1).cohorts.get(), mean_pct=16.0, reached_now=0.97)

    grow(2)
    few = queries()
    grow(8)
    assert queries() == few


def test_without_a_place_the_page_still_opens(hand_client, db):
    make_yard(lat_deg=None, lon_deg=None)
    make_log("L-1", arrived_on=date(2025, 6, 1))
    make_slab(sawn_on=timezone.localdate() - timedelta(days=30))
    assert hand_client.get("/").status_code == 200

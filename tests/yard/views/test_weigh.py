"""Finding what to weigh, and what is worth it."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.make import make_estimate, make_slab, make_stack
from yard.services.samples import sample_add, sample_of_slab
from yard.services.weighings import weighing_record

AT = datetime(2025, 3, 10, 15, tzinfo=UTC)


def text(answer):
    return answer.content.decode()


@pytest.fixture
def stack(yard):
    return make_stack(tag="ST-9", slabs=[make_slab(tag="W-1"), make_slab(tag="W-2")])


def test_a_code_leads_to_its_piece_however_it_is_typed(hand_client, stack):
    slab = stack.slabs_now.first()
    for typed in (slab.code, slab.code.lower(), f"{slab.code[:3]} {slab.code[3:]}", f"HTTPS://YARD.LOCAL/C/{slab.code}"):
        answer = hand_client.get("/weigh/", {"q": typed})
        assert (answer.status_code, answer.headers["Location"]) == (302, f"/weigh/{slab.code}/")
    answer = hand_client.get("/weigh/", {"q": stack.code})
    assert answer.headers["Location"] == f"/weigh/{stack.code}/stack/"


def test_a_tag_leads_there_too_and_the_beginning_of_one_offers_a_choice(hand_client, stack):
    slab = stack.slabs_now.get(tag="W-1")
    assert hand_client.get("/weigh/", {"q": "w-1"}).headers["Location"] == f"/weigh/{slab.code}/"
    page = text(hand_client.get("/weigh/", {"q": "W-"}))
    assert "Which one?" in page
    assert "W-1" in page
    assert "W-2" in page


def test_a_weighed_slab_is_found_once_as_its_sample(hand_client, stack):
    sample = sample_of_slab(slab=stack.slabs_now.get(tag="W-1"))
    assert hand_client.get("/weigh/", {"q": "W-1"}).headers["Location"] == f"/weigh/{sample.code}/"


def test_nothing_found_says_so_and_keeps_what_was_typed(hand_client, stack):
    page = text(hand_client.get("/weigh/", {"q": "<b>nowhere"}))
    assert "Nothing here is called" in page
    assert "<b>nowhere" not in page
    assert "&lt;b&gt;nowhere" in page


def test_an_unknown_code_is_not_found(hand_client, yard):
    for path in ("/weigh/ZZZZZZ/", "/weigh/ZZZZZZ/meter/", "/weigh/ZZZZZZ/oven/", "/weigh/ZZZZZZ/stack/"):
        assert hand_client.get(path).status_code == 404


def narrow(what="weighing", now=60.0, after=30.0):
    return [
        {"what": what, "how": "weigh the sample again", "interval_now_days": now, "interval_after_days": after,
         "saved_share": 1 - after / now}
    ]  # fmt: skip


def test_what_would_narrow_a_near_date_most_comes_first_and_says_by_how_much(hand_client, stack):
    other = make_stack(tag="ST-10")
    make_estimate(stack.cohorts.get(), narrow=narrow(now=60, after=50))
    make_estimate(other.cohorts.get(), narrow=narrow("oven section", now=90, after=20))
    page = text(hand_client.get("/weigh/"))
    assert page.index("stack ST-10") < page.index("stack ST-9")
    assert "narrows the date from 90 to about 20 days" in page
    assert f"/weigh/{other.code}/oven/" in page


def test_wood_that_is_there_or_was_measured_this_week_is_left_alone(hand_client, stack):
    there, fresh = make_stack(tag="ST-10").cohorts.get(), make_stack(tag="ST-11").cohorts.get()
    make_estimate(there, narrow=narrow(), reached_now=0.95)
    make_estimate(fresh, narrow=narrow())
    weighing_record(sample=sample_add(cohort=fresh, name="F"), weight_lb=9.0, by=None)
    page = text(hand_client.get("/weigh/"))
    assert "ST-10" not in page
    assert "stack ST-11" not in page
    assert "Nothing needs weighing today" in page


def test_what_one_weighed_last_is_at_hand(hand_client, hand, stack):
    sample = sample_of_slab(slab=stack.slabs_now.get(tag="W-1"))
    for weight in (120.0, 118.0):
        weighing_record(sample=sample, weight_lb=weight, by=hand)
    page = text(hand_client.get("/weigh/"))
    assert page.count(f"/weigh/{sample.code}/") == 1
    assert "118.0 lb" in page


def test_the_page_takes_as_many_queries_for_many_stacks_as_for_few(hand_client, hand, yard):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            assert hand_client.get("/weigh/").status_code == 200
        return len(captured)

    def grow(count):
        for _ in range(count):
            stack = make_stack(slabs=1)
            cohort = stack.cohorts.get()
            make_estimate(cohort, narrow=narrow(), ready_on=timezone.localdate() + timedelta(days=40))
            sample = sample_of_slab(slab=stack.slabs_now.first())
            weighing_record(sample=sample, weight_lb=100.0, by=hand, made_at=AT)

    grow(2)
    few = queries()
    grow(10)
    assert queries() == few


def test_a_viewer_looks_and_a_stranger_is_asked_to_log_in(viewer_client, client, stack):
    assert viewer_client.get("/weigh/").status_code == 200
    slab = stack.slabs_now.first()
    assert 'id="weigh-form"' not in text(viewer_client.get(f"/weigh/{slab.code}/"))
    assert viewer_client.post(f"/weigh/{slab.code}/", {"weight": "100", "unit": "lb"}).status_code == 403
    assert client.get("/weigh/").status_code == 302

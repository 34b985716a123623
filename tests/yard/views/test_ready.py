"""The ready list: what is on which tab, in which order, how sure, and as a spreadsheet."""

import csv
import io
import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.make import make_bay, make_estimate, make_slab, make_stack
from yard.models import Cohort, EstimateTarget


def text(answer):
    return answer.content.decode()


def in_days(days):
    return timezone.localdate() + timedelta(days=days)


def stand(tag, mean_pct=25.0, ready=None, reached=0.0, stack=None, **fields):
    """A stack of one wood with its estimate."""
    cohort = make_stack(tag=tag, **(stack or {})).cohorts.get()
    chosen = {"rate_pct_day": 0.3, "reasons": ["Stands on 3 weighings and published drying times."]} | fields
    ready_on = None if ready is None else in_days(ready)
    make_estimate(cohort, mean_pct=mean_pct, ready_on=ready_on, reached_now=reached, **chosen)
    return cohort


@pytest.fixture(autouse=True)
def _yard(yard):
    """Every test has a yard."""


def tags_on(client, **asked):
    return re.findall(r'stack-moisture">([^<]+)</a> <span class="wood"', text(client.get("/ready/", asked)))


def test_each_wood_is_on_the_tab_of_its_date(hand_client):
    stand("NOW", mean_pct=17.0, ready=0, reached=0.97)
    stand("LIKELY", mean_pct=20.0, ready=2, reached=0.6)
    stand("SOON", ready=30)
    stand("LATER", ready=200)
    stand("NEVER", ready=None)
    make_stack(tag="UNKNOWN")
    assert set(tags_on(hand_client)) == {"NOW", "LIKELY"}
    assert tags_on(hand_client, tab="soon") == ["SOON"]
    assert tags_on(hand_client, tab="later") == ["LATER", "NEVER", "UNKNOWN"]
    page = text(hand_client.get("/ready/"))
    assert re.findall(r'<span class="count">(\d+)</span>', page)[:3] == ["2", "1", "3"]


def test_each_row_says_how_wet_how_sure_where_how_much_and_why(hand_client):
    cohort = stand("NOW", mean_pct=17.0, ready=0, reached=0.97, stack={"bay": make_bay("North row"), "slabs": 3})
    page = text(hand_client.get("/ready/"))
    assert "<strong>17.0%</strong>" in page
    assert "15.0% to 19.0%" in page
    assert "20%: ready" in page
    assert "sure: over 9 in 10" in page
    assert "North row" in page
    assert "3 pieces" in page
    assert "northern red oak 8/4" in page
    assert "Stands on 3 weighings" in page
    assert f"/stacks/{cohort.stack_id}/?wood={cohort.pk}#stack-moisture" in page


def test_a_date_comes_with_its_interval_and_a_word_for_it(hand_client):
    cohort = stand("SOON", ready=30)
    EstimateTarget.objects.filter(estimate__cohort=cohort).update(low_on=in_days(25), high_on=in_days(40))
    page = text(hand_client.get("/ready/", {"tab": "soon"}))
    assert "close: within 15 days" in page
    EstimateTarget.objects.filter(estimate__cohort=cohort).update(high_on=in_days(200))
    assert "rough: within 175 days" in text(hand_client.get("/ready/", {"tab": "soon"}))


def test_the_list_is_narrowed_by_species_thickness_bay_and_target(hand_client):
    north = make_bay("North row")
    stand("OAK", ready=30, stack={"bay": north})
    stand("WALNUT", ready=31, stack={"species": "walnut-black"})
    thin = make_stack(tag="THIN", slabs=[make_slab(thickness_in=1.125, quarters=4)]).cohorts.get()
    make_estimate(thin, ready_on=in_days(32))
    assert tags_on(hand_client, tab="soon", species="black walnut") == ["WALNUT"]
    assert tags_on(hand_client, tab="soon", quarters="4") == ["THIN"]
    assert tags_on(hand_client, tab="soon", bay=north.pk) == ["OAK"]
    EstimateTarget.objects.create(estimate=thin.estimate, target_mc_pct=25.0, mid_on=in_days(5))
    assert tags_on(hand_client, tab="soon", target="25") == ["THIN"]


def test_a_filter_that_cannot_be_read_is_said_beside_its_field(hand_client):
    stand("OAK", ready=30)
    answer = hand_client.get("/ready/", {"species": "unobtainium"})
    assert answer.status_code == 422
    assert "No wood is called" in text(answer)
    assert hand_client.get("/ready/", {"tab": "nonsense", "page": "x"}).status_code == 200


def test_the_order_can_be_chosen(hand_client):
    stand("B", mean_pct=28.0, ready=10)
    stand("A", mean_pct=22.0, ready=20)
    assert tags_on(hand_client, tab="soon") == ["B", "A"]
    assert tags_on(hand_client, tab="soon", sort="mc") == ["A", "B"]
    assert tags_on(hand_client, tab="soon", sort="stack") == ["A", "B"]


def test_a_superseded_estimate_is_not_listed(hand_client):
    cohort = stand("NOW", mean_pct=17.0, ready=0, reached=0.97)
    make_estimate(cohort, mean_pct=24.0, ready_on=in_days(30))
    assert tags_on(hand_client) == []
    assert tags_on(hand_client, tab="soon") == ["NOW"]


def test_what_is_at_risk_says_number_why_and_what_to_do(hand_client):
    stand("FAST", mean_pct=50.0, ready=90, rate_pct_day=2.5, safe_rate_pct_day=1.2)
    page = text(hand_client.get("/ready/", {"tab": "risk"}))
    for words in ("2.5% a day", "at most 1.2% a day", "checks and honeycombs", "Shade it"):
        assert words in page
    assert re.findall(r'<span class="count">(\d+)</span>', page)[3] == "1"


def test_nothing_at_risk_says_what_was_looked_at(hand_client):
    assert "Nothing is at risk." in text(hand_client.get("/ready/", {"tab": "risk"}))


def test_estimates_that_missed_something_are_made_anew_on_demand(hand_client, viewer_client):
    cohort = stand("OLD", ready=30)
    Cohort.objects.update(stale_since=timezone.now())
    assert "1 estimate has not seen" in text(hand_client.get("/ready/"))
    assert viewer_client.post("/estimates/refresh/").status_code == 403
    page = text(hand_client.post("/estimates/refresh/", follow=True))
    assert "1 estimate made anew." in page
    assert Cohort.objects.get(pk=cohort.pk).stale_since is None


def test_twenty_a_page_and_the_rest_on_the_next(hand_client):
    for n in range(23):
        stand(f"S-{n:02d}", ready=10 + n, stack={"slabs": 1})
    assert len(tags_on(hand_client, tab="soon")) == 20
    assert tags_on(hand_client, tab="soon", page="2") == ["S-20", "S-21", "S-22"]


def test_the_whole_list_as_a_spreadsheet_with_the_filters(hand_client):
    stand("NOW", mean_pct=17.04, ready=0, reached=0.97, stack={"slabs": 3})
    stand("WALNUT", ready=30, stack={"species": "walnut-black"})
    answer = hand_client.get("/ready/export/")
    assert "ready-" in answer.headers["Content-Disposition"]
    rows = list(csv.DictReader(io.StringIO(b"".join(answer.streaming_content).decode("utf-8-sig"))))
    assert [row["Stack"] for row in rows] == ["NOW", "WALNUT"]
    assert (rows[0]["MC now %"], rows[0]["Pieces"], rows[0]["Quarters"], rows[0]["Target %"]) == ("17", "3", "8", "20")
    only = hand_client.get("/ready/export/", {"species": "black walnut"})
    assert b"NOW" not in b"".join(only.streaming_content)


@pytest.mark.parametrize("tab", ["ready", "soon", "later", "risk"])
def test_each_tab_takes_as_many_queries_for_many_stacks_as_for_few(hand_client, tab):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            assert hand_client.get("/ready/", {"tab": tab}).status_code == 200
        return len(captured)

    def grow(number):
        for n in range(number):
            make_slab(sawn_on=timezone.localdate() - timedelta(days=20 + n))
            stand(f"{tab}-{number}-{n}-a", mean_pct=17.0, ready=0, reached=0.97, stack={"slabs": 1})
            stand(f"{tab}-{number}-{n}-b", ready=30, rate_pct_day=3.0, safe_rate_pct_day=1.0, stack={"slabs": 1})
            stand(f"{tab}-{number}-{n}-c", ready=300, conflicts=[{"words": "x", "off_by_sd": 4}], stack={"slabs": 1})

    grow(1)
    few = queries()
    grow(6)
    assert queries() == few


def test_everybody_looks_and_strangers_log_in(viewer_client, client):
    assert viewer_client.get("/ready/").status_code == 200
    assert client.get("/ready/").status_code == 302
    assert client.get("/ready/export/").status_code == 302

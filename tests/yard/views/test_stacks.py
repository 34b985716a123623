"""The list of stacks: filters, order, export, a fixed number of queries."""

import csv
import io
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.make import BUILT_AT, make_bay, make_estimate, make_slab, make_stack
from yard.services.stacks import stack_take_down

URL = "/stacks/"
DAY = timedelta(days=1)


def tags(client, query=""):
    """Tags of the rows, in their order."""
    return [row.stack.tag for row in client.get(f"{URL}?{query}").context["rows"]]


@pytest.fixture
def four(yard):
    """ST-wet (28%, in 60 days), ST-soon (22%, in 10 days), ST-dry (ready), ST-new (no estimate)."""
    today = timezone.localdate()
    rows, shed = make_bay("Row A"), make_bay("Shed")
    wet = make_stack("ST-wet", bay=rows, slabs=2)
    soon = make_stack("ST-soon", bay=shed, slabs=1, species="walnut-black", at=BUILT_AT + DAY)
    dry = make_stack("ST-dry", bay=rows, slabs=1, at=BUILT_AT + 2 * DAY)
    make_stack("ST-new", bay=shed, slabs=[make_slab("X-7")], at=BUILT_AT + 3 * DAY)
    make_estimate(wet.cohorts.get(), mean_pct=28.0, ready_on=today + 60 * DAY)
    make_estimate(soon.cohorts.get(), mean_pct=22.0, ready_on=today + 10 * DAY)
    make_estimate(dry.cohorts.get(), mean_pct=14.0, reached_now=0.97)
    return {"rows": rows, "shed": shed, "today": today}


def test_each_row_says_wood_place_footage_moisture_and_when_it_is_ready(viewer_client, four):
    page = viewer_client.get(URL).content.decode()
    for words in ("northern red oak", "Row A", "44.0 bf", "28.0%", "Ready", "No estimate yet"):
        assert words in page
    day = four["today"] + 60 * DAY
    assert f"About {day.day} {day:%b %Y}" in page


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("", ["ST-new", "ST-dry", "ST-soon", "ST-wet"]),
        ("order=oldest", ["ST-wet", "ST-soon", "ST-dry", "ST-new"]),
        ("order=driest", ["ST-dry", "ST-soon", "ST-wet", "ST-new"]),
        ("order=wettest", ["ST-wet", "ST-soon", "ST-dry", "ST-new"]),
        ("order=ready", ["ST-soon", "ST-wet", "ST-dry", "ST-new"]),
        ("order=tag", ["ST-dry", "ST-new", "ST-soon", "ST-wet"]),
        ("ready=now", ["ST-dry"]),
        ("ready=soon", ["ST-soon"]),
        ("ready=later", ["ST-wet"]),
        ("ready=unknown", ["ST-new"]),
        ("species=black+walnut", ["ST-soon"]),
        ("q=walnut", ["ST-soon"]),
        ("q=shed", ["ST-new", "ST-soon"]),
        ("q=x-7", ["ST-new"]),
        ("q=st-w", ["ST-wet"]),
        ("state=down", []),
        ("q=nothing", []),
    ],
)
def test_filters_and_orders(viewer_client, four, query, expected):
    assert tags(viewer_client, query) == expected


def test_one_bay_at_a_time(viewer_client, four):
    assert tags(viewer_client, f"bay={four['shed'].pk}") == ["ST-new", "ST-soon"]


def test_a_stack_is_ready_only_when_all_of_its_wood_is(viewer_client, yard):
    stack = make_stack("ST-1", slabs=[make_slab(), make_slab(species_key="walnut-black")])
    one, two = stack.cohorts.order_by("id")
    make_estimate(one, mean_pct=12.0, reached_now=0.9)
    assert "Part not estimated yet" in viewer_client.get(URL).content.decode()
    make_estimate(two, mean_pct=19.0, ready_on=timezone.localdate() + 5 * DAY)
    assert tags(viewer_client, "ready=now") == []
    assert tags(viewer_client, "ready=soon") == ["ST-1"]


def test_a_stack_taken_down_is_listed_with_what_lay_in_it(viewer_client, four):
    stack = make_stack("ST-old", slabs=2)
    stack_take_down(stack=stack, at=BUILT_AT + DAY, by=None)
    (row,) = viewer_client.get(f"{URL}?state=down").context["rows"]
    assert (row.stack.tag, row.pieces, row.footage_bf) == ("ST-old", 2, 44.0)


def test_htmx_gets_only_the_rows(viewer_client, four):
    page = viewer_client.get(URL, headers={"HX-Request": "true"}).content.decode()
    assert page.strip().startswith('<section id="found"')


def test_the_spreadsheet_has_the_same_stacks_with_their_figures(viewer_client, four):
    response = viewer_client.get("/stacks/export/?order=wettest")
    rows = list(csv.DictReader(io.StringIO(b"".join(response.streaming_content).decode("utf-8-sig"))))
    assert [row["Tag"] for row in rows] == ["ST-wet", "ST-soon", "ST-dry", "ST-new"]
    assert (rows[0]["Bay"], rows[0]["Pieces"], rows[0]["Footage (bf)"]) == ("Row A", "2", "44")
    assert rows[0]["MC of the wettest wood (%)"] == "28"
    assert rows[0]["Ready about"] == str(four["today"] + 60 * DAY)


def test_many_stacks_take_no_more_queries_than_few(viewer_client, yard):
    counts = []
    for many in (1, 9):
        for _ in range(many):
            stack = make_stack(slabs=[make_slab(), make_slab(species_key="walnut-black")])
            for cohort in stack.cohorts.all():
                make_estimate(cohort, mean_pct=20.0)
        for query in ("", "order=ready&ready=soon&q=oak"):
            with CaptureQueriesContext(connection) as queries:
                assert viewer_client.get(f"{URL}?{query}").status_code == 200
            counts.append(len(queries))
    assert counts[:2] == counts[2:]


def test_a_stranger_is_asked_to_log_in(client, yard):
    assert "/login/" in client.get(URL).url
    assert "/login/" in client.get("/stacks/export/").url

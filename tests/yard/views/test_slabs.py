"""The list of slabs: every filter, every order, the same queries for three and for three hundred."""

import csv
from datetime import date, timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.make import SAWN_ON, make_bay, make_log, make_slab, make_stack
from yard.models import Contact, Estimate, Slab
from yard.services.dry_slabs import slabs_call_dry
from yard.services.slabs import slab_void

URL = "/slabs/"


def tags(answer):
    return [slab.tag for slab, _ in answer.context["rows"]]


def estimate_for(stack, mean_pct):
    """A stored estimate for every cohort of a stack."""
    for cohort in stack.cohorts.all():
        cohort.estimate = Estimate.objects.create(
            cohort=cohort, as_of=date(2026, 3, 1), computed_at="2026-03-01T12:00Z", mean_pct=mean_pct,
            mean_low_pct=mean_pct - 2, mean_high_pct=mean_pct + 2, shell_pct=mean_pct - 4, core_pct=mean_pct + 4,
            core_low_pct=mean_pct, core_high_pct=mean_pct + 8,
        )  # fmt: skip
        cohort.save()


@pytest.fixture
def wood(yard):
    """A yard of different pieces, by tag."""
    customer = Contact.objects.create(name="Ida", is_owner=True)
    log = make_log(tag="26-1", small_end_in=30, large_end_in=34, length_ft=12)
    shed = make_bay("Shed")
    a = make_slab("A", log=log, widths_in=[20.0], length_in=120, figure="curl", matched_set="M1", has_crotch=True)
    b = make_slab("B", log=log, widths_in=[12.0], matched_set="M1", price=Decimal(240))
    c = make_slab("C", species_key="walnut-black", thickness_in=1.125, quarters=4, widths_in=[9.0], owner=customer)
    d = make_slab("D", sawn_on=SAWN_ON + timedelta(days=3), note="by the gate", grade="FAS", kind="board")
    estimate_for(make_stack("ST-1", slabs=[a], bay=shed), 31.0)
    estimate_for(make_stack("ST-2", slabs=[b]), 14.0)
    slabs_call_dry(slabs=[d], mc_pct=8.0, on=date(2026, 3, 1), by=None)
    return {slab.tag: slab for slab in (a, b, c, d)} | {"customer": customer, "shed": shed}


def test_an_empty_yard_says_where_slabs_come_from(hand_client):
    page = hand_client.get(URL).content.decode()
    assert "No slabs yet" in page
    assert 'href="/saw/"' in page


def test_all_in_the_yard_stand_there_the_newest_first(hand_client, wood):
    assert tags(hand_client.get(URL)) == ["D", "C", "B", "A"]


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("q=walnut", "C"),
        ("q=a", "DA"),  # the tag A, and “by the gate”
        ("q=gate", "D"),
        ("q=m1+curl", "A"),
        ("state=sawn", "C"),
        ("state=stacked", "BA"),
        ("state=dry", "D"),
        ("state=for_sale", "D"),
        ("state=void", ""),
        ("state=gone", ""),
        ("species=walnut-black", "C"),
        ("quarters=4", "C"),
        ("quarters=8", "DBA"),
        ("quarters=4&quarters=8", "DCBA"),
        ("kind=board", "D"),
        ("width_from=12&width_to=17", "DB"),
        ("width_from=50+cm", "A"),
        ("length_from=10", "A"),
        ("length_to=8", "DCB"),
        ("mc_to=20", "DB"),
        ("mc_from=20&mc_to=40", "A"),
        ("mc_to=9", "D"),
        ("stack=st-1", "A"),
        ("log=26-1", "BA"),
        ("whose=ours", "DBA"),
        ("whose=others", "C"),
        ("price_from=200&price_to=300", "B"),
        ("price_from=241", ""),
        ("figure=any", "A"),
        ("figure=Curl", "A"),
        ("features=crotch", "A"),
        ("without=crotch", "DCB"),
        ("matched_set=M1", "BA"),
        ("grade=fas", "D"),
        ("order=tag", "ABCD"),
        ("order=widest", "ADBC"),
        ("order=narrowest", "CBDA"),
        ("order=longest", "ADCB"),
        ("order=oldest", "ABCD"),
        ("order=driest", "BA"),
        ("order=wettest", "AB"),
        ("order=dearest", "B"),
        ("species=oak-northern-red&quarters=8&width_from=10&mc_to=20&whose=ours&order=widest", "DB"),
    ],
)
def test_each_filter_and_order_finds_what_it_says(hand_client, wood, asked, found):
    assert "".join(tags(hand_client.get(f"{URL}?{asked}"))) == found


def test_a_bay_shows_what_stands_and_what_lies_in_it(hand_client, wood):
    Slab.objects.filter(tag="C").update(bay=wood["shed"])
    assert tags(hand_client.get(URL, {"bay": wood["shed"].pk})) == ["C", "A"]


def test_one_owners_wood_is_asked_for(hand_client, wood):
    assert tags(hand_client.get(URL, {"whose": wood["customer"].pk})) == ["C"]


def test_void_pieces_are_only_among_the_void(hand_client, wood):
    slab_void(by=None, slab=wood["C"], reason="twice")
    assert "C" not in "".join(tags(hand_client.get(URL, {"state": "all"})))
    assert tags(hand_client.get(URL, {"state": "void"})) == ["C void"]


def test_moisture_says_whether_it_is_estimated_or_measured(hand_client, wood):
    page = hand_client.get(URL).content.decode()
    assert "12% to 16%" in " ".join(page.split()) or "12.0% to 16.0%" in " ".join(page.split())
    assert "measured" in page


@pytest.mark.parametrize("asked", ["width_from=wide", "stack=nowhere", "species=xyz", "quarters=77", "mc_to=900"])
def test_a_filter_that_cannot_be_read_is_said_and_left_out(hand_client, wood, asked):
    answer = hand_client.get(f"{URL}?{asked}")
    assert answer.status_code == 200
    assert tags(answer) == ["D", "C", "B", "A"]
    assert "Left out" in answer.content.decode()


def test_each_filter_set_can_be_taken_away_by_a_link(hand_client, wood):
    page = hand_client.get(f"{URL}?q=curl&quarters=8&width_from=12").content.decode()
    assert 'href="/slabs/?quarters=8&amp;width_from=12"' in page
    assert 'href="/slabs/?q=curl&amp;width_from=12"' in page
    assert "Width from: 12 in" in page


def test_htmx_gets_the_list_alone_and_the_back_button_the_page(hand_client, wood):
    part = hand_client.get(URL, headers={"HX-Request": "true"}).content.decode()
    assert part.strip().startswith('<section id="found"')
    assert "<html" not in part
    whole = hand_client.get(URL, headers={"HX-Request": "true", "HX-History-Restore-Request": "true"})
    assert "<html" in whole.content.decode()
    assert "HX-Request" in whole.headers["Vary"]


def test_loose_pieces_are_ticked_and_handed_to_a_new_stack(hand_client, viewer_client, wood):
    page = hand_client.get(URL).content.decode()
    assert 'action="/stacks/build/"' in page
    assert page.count('name="slab"') == 2  # C and D lie loose
    assert 'name="slab"' not in viewer_client.get(URL).content.decode()


def many(count):
    for number in range(count):
        make_slab(f"N{number}", widths_in=[12.0], owner=None)


@pytest.mark.parametrize("asked", ["", "?q=oak&mc_to=20&stack=ST-1&log=26-1", "?order=driest"])
def test_three_pieces_and_three_hundred_take_the_same_queries(hand_client, wood, asked):
    url = f"{URL}{asked}"
    with CaptureQueriesContext(connection) as few:
        hand_client.get(url)
    many(60 if asked else 300)
    with CaptureQueriesContext(connection) as more:
        hand_client.get(url)
    assert len(more) == len(few)


def test_fifty_stand_on_a_page_and_the_rest_follow(hand_client, yard):
    many(120)
    first = hand_client.get(URL)
    assert len(tags(first)) == 50
    assert "120 pieces" in first.content.decode()
    last = hand_client.get(URL, {"page": 3})
    assert len(tags(last)) == 20
    assert not last.context["page"].has_next
    assert len({*tags(first), *tags(hand_client.get(URL, {"page": 2})), *tags(last)}) == 120


def test_more_than_a_thousand_are_not_counted(hand_client, yard, monkeypatch):
    monkeypatch.setattr("yard.services.slab_list.COUNTED_UP_TO", 100)
    many(120)
    answer = hand_client.get(URL)
    assert "More than 100 pieces" in answer.content.decode()
    beyond = hand_client.get(URL, {"page": 3})
    assert len(tags(beyond)) == 20


def test_the_list_goes_out_as_a_spreadsheet_with_its_filters(viewer_client, wood):
    answer = viewer_client.get("/slabs/export/", {"q": "curl"})
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    rows = list(csv.DictReader(StringIO(text)))
    assert [(row["Tag"], row["Log"], row["Stack"], row["MC by estimate (%)"]) for row in rows] == [
        ("A", "26-1", "ST-1", "31")
    ]
    assert answer.headers["Content-Type"] == "text/csv; charset=utf-8"


def test_strangers_see_no_slab(client, wood):
    assert client.get(URL).status_code == 302
    assert client.get("/slabs/export/").status_code == 302

"""The list of logs."""

import csv
from datetime import timedelta
from io import StringIO

import pytest
from django.utils import timezone

from tests.make import make_log, make_slab
from yard.models import Contact
from yard.services.logs import log_finish_sawing, log_start_sawing, log_void

URL = "/logs/"


def tags(answer):
    return [log.tag for log, _, _ in answer.context["rows"]]


def test_an_empty_yard_says_what_to_do(hand_client, viewer_client):
    page = hand_client.get(URL).content.decode()
    assert "No logs wait to be sawn" in page
    assert 'href="/logs/new/"' in page
    assert 'href="/logs/new/"' not in viewer_client.get(URL).content.decode()


def test_waiting_logs_come_first_the_oldest_on_top_with_their_footage(hand_client):
    today = timezone.localdate()
    make_log("B", arrived_on=today)
    make_log("A", arrived_on=today - timedelta(days=9), small_end_in=12, large_end_in=14, length_ft=16, rule="doyle")
    answer = hand_client.get(URL)
    assert tags(answer) == ["A", "B"]
    assert answer.context["waiting"].logs == 2
    assert "64 bf" in answer.content.decode()


def test_defects_come_off_the_list_as_on_the_page(hand_client):
    make_log("A", small_end_in=12, length_ft=16, defect_pct=10, rule="international")
    assert [log.net_scale_bf for log, _, _ in hand_client.get(URL).context["rows"]] == [85]  # 95 less 9.5, to 10


def test_sawn_void_and_all_are_asked_for(hand_client):
    make_log("wait")
    sawn = make_log("sawn")
    log_start_sawing(by=None, log=sawn)
    make_slab(log=sawn, widths_in=[12.0])
    log_finish_sawing(by=None, log=sawn)
    log_void(by=None, log=make_log("gone"), version=1, reason="twice")
    assert tags(hand_client.get(URL, {"state": "sawn"})) == ["sawn"]
    assert tags(hand_client.get(URL, {"state": "void"})) == ["gone void"]
    assert sorted(tags(hand_client.get(URL, {"state": "all"}))) == ["sawn", "wait"]


def test_logs_are_found_by_tag_wood_place_species_and_owner(hand_client):
    make_log("K-1", species_key="walnut-black", where_from="River Road")
    make_log("K-2", owner=Contact.objects.create(name="Ida", is_owner=True))
    assert tags(hand_client.get(URL, {"q": "k-1"})) == ["K-1"]
    assert tags(hand_client.get(URL, {"q": "walnut"})) == ["K-1"]
    assert tags(hand_client.get(URL, {"q": "river"})) == ["K-1"]
    assert tags(hand_client.get(URL, {"species": "black walnut"})) == ["K-1"]
    assert tags(hand_client.get(URL, {"whose": "others"})) == ["K-2"]
    assert "No log is like that" in hand_client.get(URL, {"q": "nothing such"}).content.decode()


@pytest.mark.parametrize(
    ("order", "first"), [("largest", "big"), ("thickest", "big"), ("tag", "big"), ("newest", "small"), ("", "big")]
)
def test_the_list_is_put_in_order(hand_client, order, first):
    today = timezone.localdate()
    make_log("big", small_end_in=20, large_end_in=22, arrived_on=today - timedelta(days=5))
    make_log("small", small_end_in=10, large_end_in=12, arrived_on=today)
    assert tags(hand_client.get(URL, {"order": order}))[0] == first


def test_an_old_log_in_summer_is_marked(hand_client, monkeypatch):
    from datetime import date

    from yard.views import logs as view

    monkeypatch.setattr(view.timezone, "localdate", lambda: date(2025, 8, 20))
    make_log(felled_on=date(2025, 6, 1), arrived_on=date(2025, 6, 3))
    page = hand_client.get(URL).content.decode()
    assert "Late: 81 warm days" in page


def test_a_filter_that_cannot_be_read_says_so_and_shows_the_rest(hand_client):
    make_log("A")
    answer = hand_client.get(URL, {"species": "ironbeech"})
    assert tags(answer) == ["A"]
    assert "Try another name" in answer.content.decode()


def test_htmx_gets_only_the_list(hand_client):
    make_log("A")
    page = hand_client.get(URL, headers={"HX-Request": "true"}).content.decode()
    assert page.lstrip().startswith('<section id="found"')
    assert "<html" not in page


def test_the_list_asks_no_more_of_the_database_for_thirty_than_for_three(hand_client, django_assert_num_queries):
    for number in range(3):
        make_log(f"a{number}")
    with django_assert_num_queries(QUERIES):
        hand_client.get(URL)
    for number in range(27):
        make_log(f"b{number}", owner=Contact.objects.create(name=f"o{number}"))
    with django_assert_num_queries(QUERIES):
        assert len(hand_client.get(URL).context["rows"]) == 30


QUERIES = 8  # session, person, yard; form's none; count, rows; waiting sums; two of weather


def test_the_list_is_exported_with_its_filter(hand_client):
    make_log("A", note="=1+1")
    make_log("B", species_key="walnut-black")
    answer = hand_client.get("/logs/export/", {"q": "A"})
    assert answer.headers["Content-Disposition"].startswith('attachment; filename="logs-')
    rows = list(csv.DictReader(StringIO(answer.getvalue().decode("utf-8-sig"))))
    assert [row["Tag"] for row in rows] == ["A"]
    assert rows[0]["Note"] == "'=1+1"
    assert rows[0]["International (bf)"] == "85"


def test_a_stranger_is_sent_to_log_in(client, yard):
    assert client.get(URL).status_code == 302
    assert client.get("/logs/export/").status_code == 302

"""The page of a log, its edit, its ticket's rule, and making it void."""

import pytest

from tests.make import make_log, make_slab
from yard.models import History, Log, LogState
from yard.services.logs import log_change, log_finish_sawing, log_start_sawing
from yard.services.slabs import Piece, slab_split


def page_of(client, log):
    return client.get(f"/logs/{log.pk}/").content.decode()


def test_a_log_of_12_in_by_16_ft_shows_its_three_scales_with_their_workings(viewer_client):
    page = page_of(viewer_client, make_log(small_end_in=12, large_end_in=14, length_ft=16, rule="doyle"))
    for words in ("64 bf", "80 bf", "95 bf", "On the ticket", "(D − 4)² × L ÷ 16", "Provenance:"):
        assert words in page


def test_the_next_step_follows_the_state(hand_client):
    log = make_log()
    assert "Saw this log" in page_of(hand_client, log)
    log_start_sawing(by=None, log=log)
    assert "Go on sawing" in page_of(hand_client, log)
    make_slab(log=log, widths_in=[12.0])
    log_finish_sawing(by=None, log=log)
    page = page_of(hand_client, log)
    assert "Go on sawing" not in page
    assert "Saw more from it" in page


def test_a_viewer_sees_no_buttons_that_he_may_not_use(viewer_client):
    page = page_of(viewer_client, make_log())
    assert "Saw this log" not in page
    assert "/edit/" not in page


def test_recovery_is_shown_against_the_rule_on_the_ticket(viewer_client):
    log = make_log(small_end_in=12, large_end_in=14, length_ft=8, rule="doyle")  # 32 bf
    for _ in range(3):
        make_slab(log=log, widths_in=[10.0], length_in=96, quarters=8)  # 13 1/3 bf each
    page = page_of(viewer_client, log)
    assert "125%" in page
    assert "25% over" in page
    assert "32 bf Doyle" in page


def test_a_void_log_says_why(viewer_client, owner_client):
    log = make_log("V1")
    answer = owner_client.post(f"/logs/{log.pk}/void/", {"version": 1, "reason": ""})
    assert answer.status_code == 422
    answer = owner_client.post(f"/logs/{log.pk}/void/", {"version": 1, "reason": "typed twice"})
    assert answer.status_code == 302
    assert "typed twice" in page_of(viewer_client, log)


def test_a_log_with_slabs_cannot_be_made_void(hand_client):
    log = make_log()
    make_slab(log=log, widths_in=[12.0])
    answer = hand_client.post(f"/logs/{log.pk}/void/", {"version": 1, "reason": "x"})
    assert answer.status_code == 422
    assert "make it void first" in answer.content.decode()


def test_the_page_asks_no_more_for_thirty_slabs_than_for_three(viewer_client, django_assert_num_queries):
    log = make_log(small_end_in=30, large_end_in=32)
    for _ in range(3):
        make_slab(log=log, widths_in=[12.0])
    with django_assert_num_queries(9):
        page_of(viewer_client, log)
    for _ in range(27):
        make_slab(log=log, widths_in=[12.0])
    slab_split(by=None, slab=log.slabs.first(), pieces=[Piece(thickness_in=2, length_in=40, widths_in=(12,))])
    with django_assert_num_queries(9):
        page_of(viewer_client, log)


def edited(log, **fields):
    first = {
        "version": log.version, "species_key": "northern red oak", "tag": log.tag, "small_end_in": "16",
        "large_end_in": "20", "length_ft": "8.5", "arrived_on": "2025-02-03",
    }  # fmt: skip
    return first | fields


def test_a_change_is_kept_with_its_history(hand_client, hand):
    log = make_log()
    assert hand_client.post(f"/logs/{log.pk}/edit/", edited(log, small_end_in="17")).status_code == 302
    log.refresh_from_db()
    assert log.small_end_in == 17
    line = History.objects.get(table="log", action="changed")
    assert (line.by, line.changes) == (hand, {"small_end_in": [16, 17]})


def test_two_people_editing_one_log_see_both_values_and_nothing_is_lost(hand_client):
    log = make_log()
    stale = edited(log, note="from the phone", small_end_in="17")
    log_change(by=None, log=log, version=1, small_end_in=15.0)
    answer = hand_client.post(f"/logs/{log.pk}/edit/", stale)
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Saved meanwhile" in page
    assert "from the phone" in page
    assert Log.objects.get(pk=log.pk).small_end_in == 15
    again = edited(Log.objects.get(pk=log.pk), small_end_in="17")
    assert hand_client.post(f"/logs/{log.pk}/edit/", again).status_code == 302


def test_the_edit_form_does_not_change_the_tickets_rule(hand_client):
    log = make_log(rule="doyle")
    hand_client.post(f"/logs/{log.pk}/edit/", edited(log, rule="scribner"))
    assert Log.objects.get(pk=log.pk).rule == "doyle"


def test_the_rule_changes_on_its_own_page_by_the_owner_with_a_reason(owner_client, hand_client):
    log = make_log(rule="doyle")
    url = f"/logs/{log.pk}/rule/"
    sent = {"version": 1, "rule": "scribner", "reason": "ticket misread"}
    assert hand_client.post(url, sent).status_code == 403
    assert owner_client.post(url, sent | {"reason": ""}).status_code == 422
    answer = owner_client.post(url, sent | {"rule": "doyle"})
    assert "on this rule already" in answer.content.decode()
    assert owner_client.post(url, sent).status_code == 302
    assert Log.objects.get(pk=log.pk).rule == "scribner"


def test_the_edit_form_shows_the_scale_of_the_log(hand_client):
    log = make_log(small_end_in=12, large_end_in=14, length_ft=16, rule="doyle")
    assert "64 bf" in hand_client.get(f"/logs/{log.pk}/edit/").content.decode()
    answer = hand_client.post(f"/logs/{log.pk}/edit/", edited(log, small_end_in="13", only_scale="yes", length_ft="16"))
    assert "81 bf" in answer.content.decode()
    assert Log.objects.get(pk=log.pk).small_end_in == 12


@pytest.mark.parametrize("path", ["", "edit/", "rule/", "void/"])
def test_strangers_are_sent_to_log_in_and_a_missing_log_is_not_found(client, owner_client, path):
    log = make_log()
    assert client.get(f"/logs/{log.pk}/{path}").status_code == 302
    assert owner_client.get(f"/logs/999/{path}").status_code == 404


def test_a_log_comes_back_on_the_mill(hand_client):
    log = make_log()
    make_slab(log=log, widths_in=[12.0])
    log_finish_sawing(by=None, log=log)
    answer = hand_client.post(f"/logs/{log.pk}/saw/start/")
    assert answer.headers["Location"] == f"/logs/{log.pk}/saw/"
    assert Log.objects.get(pk=log.pk).state == LogState.ON_MILL

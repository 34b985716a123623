"""Logs are taken in, scaled, changed, sawn and made void."""

from datetime import date

import pytest

from tests.make import make_log, make_person, make_slab
from yard.models import History, Log, LogState
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.logs import (
    LogTagTaken,
    log_change,
    log_finish_sawing,
    log_rule_change,
    log_start_sawing,
    log_tag_suggest,
    log_void,
)
from yard.services.refused import LogRefused
from yard.services.slabs import slab_void

pytestmark = pytest.mark.django_db


def test_a_log_of_12_in_by_16_ft_scales_64_doyle_and_95_international():
    log = make_log(small_end_in=12, large_end_in=14, length_ft=16, rule="doyle")
    assert (log.doyle_bf, log.international_bf, log.scribner_bf) == (64, 95, 80)
    assert log.gross_scale_bf == 64
    assert log.cubic_ft3 == pytest.approx(3.14159265 * (12**2 + 14**2) / 2 / 576 * 16)


def test_trim_is_not_scaled():
    assert make_log(small_end_in=12, length_ft=16.5, rule="doyle").doyle_bf == 64


def test_a_log_below_a_rules_table_is_kept_without_a_figure_by_that_rule():
    log = make_log(small_end_in=3, large_end_in=None, length_ft=8)
    assert (log.doyle_bf, log.international_bf) == (None, None)


def test_an_empty_tag_takes_the_next_of_the_year():
    first = make_log_untagged()
    assert first.tag == "25-1"
    make_log(tag="25-7")
    assert log_tag_suggest(on=date(2025, 5, 5)) == "25-8"
    assert log_tag_suggest(on=date(2026, 5, 5)) == "26-1"


def make_log_untagged():
    from yard.services.logs import log_add

    return log_add(
        by=None, rule="doyle", species_key="oak-white", arrived_on=date(2025, 2, 3), small_end_in=14, length_ft=10
    )


def test_a_doubled_tag_is_refused():
    make_log("A1")
    with pytest.raises(LogTagTaken, match="Another log has the tag a1") as refused:
        make_log("a1")
    assert refused.value.field == "tag"


def test_the_scale_follows_the_sizes_and_the_history_says_so():
    person, log = make_person("hand"), make_log(small_end_in=12, large_end_in=14, length_ft=16)
    changed = log_change(by=person, log=log, version=1, small_end_in=13.0)
    assert changed.doyle_bf == 81
    line = History.objects.get(table="log", action="changed")
    assert (line.changes, line.by) == ({"small_end_in": [12, 13]}, person)


def test_two_editors_of_one_log_notice_each_other():
    log = make_log()
    log_change(by=None, log=log, version=1, note="first")
    with pytest.raises(ChangedMeanwhile):
        log_change(by=None, log=log, version=1, note="second")


def test_the_rule_of_the_ticket_changes_only_by_its_own_step_with_a_reason():
    log = make_log(rule="doyle")
    with pytest.raises(TypeError):
        log_change(by=None, log=log, version=1, rule="scribner")
    with pytest.raises(LogRefused, match="Say why the rule changes"):
        log_rule_change(by=None, log=log, version=1, rule="scribner", reason=" ")
    changed = log_rule_change(by=None, log=log, version=1, rule="scribner", reason="ticket misread")
    assert changed.gross_scale_bf == changed.scribner_bf
    line = History.objects.get(action="rule changed")
    assert (line.changes["rule"], line.note) == (["doyle", "scribner"], "ticket misread")


def test_a_log_goes_on_the_mill_is_sawn_and_can_come_back():
    log = make_log()
    with pytest.raises(LogRefused, match="No slab is written down yet"):
        log_finish_sawing(by=None, log=log)
    assert log_start_sawing(by=None, log=log).state == LogState.ON_MILL
    make_slab(log=log, widths_in=[12.0])
    sawn = log_finish_sawing(by=None, log=log, on=date(2025, 3, 3))
    assert (sawn.state, sawn.sawn_on) == (LogState.SAWN, date(2025, 3, 3))
    back = log_start_sawing(by=None, log=log)
    assert (back.state, back.sawn_on) == (LogState.ON_MILL, None)
    assert [line.action for line in History.objects.filter(table="log").order_by("id")] == [
        "added", "on the mill", "sawn", "on the mill",
    ]  # fmt: skip


def test_a_log_with_slabs_is_not_made_void():
    log = make_log("B2")
    slab = make_slab(log=log, widths_in=[12.0])
    with pytest.raises(LogRefused, match="1 slab was sawn from B2: make it void first"):
        log_void(by=None, log=log, version=1, reason="wrong")
    slab_void(by=None, slab=slab, reason="wrong")
    assert log_void(by=None, log=log, version=1, reason="wrong").tag == "B2 void"
    assert make_log("B2").tag == "B2"
    assert Log.objects.standing().count() == 1


def test_waiting_logs_are_those_not_yet_sawn_the_oldest_first():
    late, early = make_log(arrived_on=date(2025, 3, 1)), make_log(arrived_on=date(2025, 1, 1))
    assert list(Log.objects.waiting()) == [early, late]


def test_a_short_code_that_is_taken_already_is_drawn_again(monkeypatch):
    first = make_log()
    signs = iter(first.code + "ZZZZZZ")
    monkeypatch.setattr("yard.models.base.secrets.choice", lambda alphabet: next(signs))
    assert make_log().code == "ZZZZZZ"

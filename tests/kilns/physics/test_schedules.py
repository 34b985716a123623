"""Schedules against the code tables (from memory: each row says so), the kiln's humidity table, and bad codes."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.capped_schedules import cap_schedule
from kilns.physics.schedules import (
    GREEN_PCT,
    NoSchedule,
    assemble,
    humid_step,
    own_schedule,
    step_now,
    table_step,
)
from kilns.physics.tables import table
from tests.published_tables import published
from yard.wood.ranges import OutsideRange

CLASSES, NUMBERS = "ABCDEF", range(1, 9)


def _start(text):
    """ ">50" is where green wood begins."""
    return GREEN_PCT if text.startswith(">") else float(text)


@pytest.mark.parametrize(
    "row", published("kiln_temperature_schedules.csv"), ids=lambda row: f"{row['code']}-{row['step']}"
)
def test_every_dry_bulb_of_the_temperature_table_comes_out_in_every_class(row):
    for mc_class in CLASSES:
        assert assemble(f"{row['code']}-{mc_class}3").step_at(_start(row["mc_at_start"])).dry_bulb_f == float(
            row["dry_bulb_f"]
        )


@pytest.mark.parametrize(
    "row", published("kiln_depression_schedules.csv"), ids=lambda row: f"{row['number']}-{row['step']}"
)
def test_every_depression_of_the_table_comes_out_at_its_classes_breakpoint(row):
    for mc_class in CLASSES:
        begins = {
            one["step"]: one["mc_at_start"] for one in published("kiln_mc_classes.csv") if one["mc_class"] == mc_class
        }
        step = assemble(f"T4-{mc_class}{row['number']}").step_at(_start(begins[row["step"]]))
        assert step.depression_f == float(row["depression_f"])


@pytest.mark.parametrize("mc_class", CLASSES)
def test_steps_begin_at_every_breakpoint_of_both_tables_and_nowhere_else(mc_class):
    begins = {_start(one["mc_at_start"]) for one in published("kiln_mc_classes.csv") if one["mc_class"] == mc_class}
    begins |= {_start(one["mc_at_start"]) for one in published("kiln_temperature_schedules.csv") if one["code"] == "T4"}
    assert [step.mc_from_pct for step in assemble(f"T4-{mc_class}2")] == sorted(begins, reverse=True)


def test_the_whole_schedule_of_four_quarter_red_oak():
    """AH-188, T4-D2, from memory: dry bulb and wet bulb of each step."""
    steps = [(step.mc_from_pct, step.dry_bulb_f, step.wet_bulb_f) for step in assemble("T4-D2")]
    assert steps == [
        (GREEN_PCT, 110, 106), (50, 110, 105), (40, 110, 102), (35, 110, 96),
        (30, 120, 90), (25, 130, 80), (20, 140, 90), (15, 180, 130),
    ]  # fmt: skip


def test_the_humidity_of_a_step_is_that_of_the_kiln_table():
    """Within 1.2 points of RH, as the psychrometer holds the whole table (tests/wood/test_humid_air.py)."""
    checked = 0
    for row in published("kiln_table_1_6.csv"):
        dry, depression = float(row["dry_bulb_f"]), float(row["depression_f"])
        if 80 <= dry <= 200 and depression > 0 and row["rh_pct"]:
            assert table_step(30, dry, depression).rh_pct == pytest.approx(float(row["rh_pct"]), abs=1.2)
            checked += 1
    assert checked > 100


def test_every_schedule_says_that_it_is_from_memory():
    for temperature, number in itertools.product(range(1, 15), NUMBERS):
        assert assemble(f"T{temperature}-D{number}").provenance.startswith("memory")
    assert assemble("T9-D2").provenance.startswith("memory medium-high")


def test_neither_dry_bulb_nor_depression_ever_goes_back():
    for temperature, mc_class, number in itertools.product(range(1, 15), CLASSES, NUMBERS):
        steps = assemble(f"T{temperature}-{mc_class}{number}").steps
        for before, after in itertools.pairwise(steps):
            assert after.dry_bulb_f >= before.dry_bulb_f
            assert after.depression_f >= before.depression_f


def test_a_depression_that_no_air_can_have_is_kept_and_noted():
    step = assemble("T2-E8").step_at(50)
    assert (step.dry_bulb_f, step.depression_f, step.rh_pct, step.emc_pct) == (100, 50, 0, 0)
    assert "Drier than air can be" in step.note


@pytest.mark.parametrize(
    ("code", "why"),
    [
        ("T4-H2", "class H"),
        ("T6-H2", "class H"),
        ("T4-D9", "softwood"),
        ("T4-D0", "from 1 to 8"),
        ("T15-D2", "T1 to T14"),
        ("T0-D2", "T1 to T14"),
        ("T3-F4S", "softwood"),
        ("oak", "reads like"),
        ("", "reads like"),
        ("D2-T4", "reads like"),
    ],
)
def test_codes_that_are_none_are_refused_with_the_reason(code, why):
    with pytest.raises(NoSchedule, match=why):
        assemble(code)


@pytest.mark.parametrize("typed", ["T4-D2", "t4-d2", " T4 D2 ", "T4–D2", "T04-D2", "T4D2"])
def test_a_code_is_read_however_it_is_typed(typed):
    assert assemble(typed).code == "T4-D2"


@settings(deadline=None)
@given(st.text(max_size=12))
def test_no_text_makes_anything_but_a_schedule_or_a_refusal(text):
    try:
        found = assemble(text)
    except OutsideRange as refusal:
        said = str(refusal)
    else:
        said = found.code
    assert said


def test_the_step_changes_at_the_breakpoint_itself():
    schedule = assemble("T4-D2")
    assert schedule.step_number(50.01) == 1
    assert schedule.step_number(50.0) == 2
    assert schedule.step_number(0.0) == len(schedule)


def test_the_wettest_half_decides_the_step():
    due = step_now(assemble("T4-D2"), [52, 51, 30, 29])
    assert (due.number, due.controlling_mc_pct, due.next_at_mc_pct) == (1, 51.5, 50.0)
    assert step_now(assemble("T4-D2"), [50, 49, 30, 29]).number == 2


def test_a_step_is_never_taken_back():
    schedule = assemble("T4-D2")
    assert step_now(schedule, [60.0], running=5).number == 5
    assert step_now(schedule, [5.0]).next_at_mc_pct is None
    with pytest.raises(OutsideRange, match="running step"):
        step_now(schedule, [60.0], running=9)


def test_an_own_schedule_begins_at_green_and_goes_down():
    own = own_schedule("Slow", [humid_step(25, 120, 40), humid_step(60, 100, 80)], "from a neighbour")
    assert [step.mc_from_pct for step in own] == [GREEN_PCT, 25]
    assert own.notes == ("from a neighbour",)
    assert own.step_at(300).dry_bulb_f == 100


def test_an_own_schedule_without_steps_or_with_two_alike_is_refused():
    with pytest.raises(NoSchedule, match="no steps"):
        own_schedule("Empty", [])
    with pytest.raises(NoSchedule, match="same moisture content"):
        own_schedule("Twice", [humid_step(30, 100, 80), humid_step(30, 110, 70)])


@settings(deadline=None)
@given(st.floats(90, 180), st.sampled_from([f"T{t}-{c}{n}" for t in (2, 4, 8, 12) for c in "AD" for n in (1, 4, 7)]))
def test_a_capped_schedule_keeps_every_emc_and_no_step_is_hotter(hottest_f, code):
    full = assemble(code)
    capped = cap_schedule(full, hottest_f)
    for before, after in zip(full, capped, strict=True):
        assert after.dry_bulb_f == min(before.dry_bulb_f, hottest_f)
        assert after.emc_pct == before.emc_pct
        wick = table_step(30, after.dry_bulb_f, after.depression_f)
        assert wick.emc_pct == pytest.approx(after.emc_pct, abs=0.01)


def test_a_kiln_that_reaches_every_step_keeps_the_schedule_as_it_is():
    assert cap_schedule(assemble("T4-D2"), 180) is not None
    assert cap_schedule(assemble("T4-D2"), 180) == assemble("T4-D2")
    assert "inferred" in cap_schedule(assemble("T4-D2"), 120).provenance


def test_the_code_tables_hold_every_row_with_a_source():
    for name, rows in (("temperature_schedules.csv", 70), ("depression_schedules.csv", 48), ("mc_classes.csv", 36)):
        assert len(table(name)) == rows
        assert all(row["source_key"] == "AH-188" and row["provenance"].startswith("memory") for row in table(name))

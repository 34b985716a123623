"""Promises whose answer can be worked out by hand: sums of days, the later of two, shared and separate chances."""

import math
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from sales.promises.promise import Measure, day_after, promise
from sales.promises.simulate import Charge, KilnLine, Lot, simulate
from sales.promises.spread import Spread, chance, mixed

TODAY = date(2026, 3, 2)
SURE = Spread(10, 10, 10)
WIDE = Spread(20, 30, 50)


def kiln(*charges, **fields):
    return KilnLine("k", "Barn kiln", charges, **fields)


def test_dry_wood_waits_for_nothing_but_picking():
    found = promise([Lot("a", "dry oak")], today=TODAY, pick_days=3)
    assert (found.nine_in_ten, found.middle) == (date(2026, 3, 5), date(2026, 3, 5))
    assert found.stages == {"pick": 3}


def test_certain_days_simply_add_up():
    """30 outdoors, 10 in the kiln, 4 of rest, 2 to pick; the kiln is free when the wood is ready."""
    lot = Lot("a", "oak", air=Spread(30, 30, 30), charge="ours", after_days=4)
    found = simulate([lot], [kiln(Charge("ours", "ours", SURE, lots=("a",)))])
    assert found.days_at(0.5) == found.days_at(0.9) == 46


def test_wood_that_is_ready_waits_for_the_kiln():
    """Runs of 10 days planned for day 5 and for when it is free: 5 + 10 + 2, then 10 + 2, then ours of 10."""
    runs = [Charge("1", "1", SURE, starts_in_days=5), Charge("2", "2", SURE), Charge("ours", "", SURE, lots=("a",))]
    lot = Lot("a", "oak", air=Spread(7, 7, 7), charge="ours")
    found = simulate([lot], [kiln(*runs)], pick_days=0)
    assert found.days_at(0.9) == 5 + 10 + 2 + 10 + 2 + 10


def test_a_run_that_goes_on_counts_from_its_start():
    runs = [Charge("1", "1", SURE, starts_in_days=-4), Charge("ours", "", SURE, lots=("a",))]
    found = simulate([Lot("a", "oak", charge="ours")], [kiln(*runs)], pick_days=0)
    assert found.days_at(0.9) == 6 + 2 + 10


def test_a_run_longer_than_usual_is_not_over_yet():
    """Of runs of 8, 10 or 14 days that have lasted 10 without an end, half are over after the 75% quantile."""
    runs = [Charge("1", "1", Spread(8, 10, 14), starts_in_days=-10, lots=("a",))]
    found = simulate([Lot("a", "oak", charge="1")], [kiln(*runs)], pick_days=0)
    three_quarters = 10 + 0.67449 / 1.28155 * 4
    assert found.days_at(0.5) == pytest.approx(three_quarters - 10, abs=0.05)
    assert found.ready.min() >= 0


def test_one_uncertain_stage_keeps_its_own_quantiles():
    found = simulate([Lot("a", "oak", air=WIDE)], pick_days=0)
    assert [round(found.days_at(share)) for share in (0.1, 0.5, 0.9)] == [20, 30, 50]


def test_the_later_of_two_separate_lots_decides():
    """Two independent lots with the same median are both ready by it in a quarter of cases; the weather, which they
    share, brings that nearer to a half."""
    lots = [Lot("a", "oak", air=WIDE), Lot("b", "ash", air=WIDE)]
    share = simulate(lots, pick_days=0).share_by(30)
    exact = 0.25 + math.asin(0.2) / (2 * math.pi)  # both below the median, at a correlation of 0.2
    assert share == pytest.approx(exact, abs=0.015)


def test_two_lines_of_one_cohort_are_not_later_than_one():
    one = simulate([Lot("a", "oak", air=WIDE)])
    two = simulate([Lot("a", "oak", air=WIDE), Lot("a", "oak", air=WIDE)])
    assert (one.ready == two.ready).all()


def test_a_kiln_in_common_moves_two_lots_together():
    """Both in one charge are out on the same day in every case; in two kilns the later is later than that."""
    run = Spread(10, 20, 40)
    together = kiln(Charge("c", "", run, lots=("a", "b")))
    lots = [Lot("a", "oak", charge="c"), Lot("b", "ash", charge="c")]
    same = simulate(lots, [together])
    assert (same.lots["a"].out == same.lots["b"].out).all()
    apart = [KilnLine(key, key, (Charge(key, "", run, lots=(key,)),)) for key in ("a", "b")]
    lots = [replace(lot, charge=lot.key) for lot in lots]
    assert simulate(lots, apart).days_at(0.5) > same.days_at(0.5) + 2


def test_slow_wood_is_slow_in_the_kiln_too():
    lot = Lot("a", "oak", air=Spread(20, 30, 40), charge="ours")
    found = simulate([lot], [kiln(Charge("ours", "", Spread(10, 15, 20), lots=("a",)))]).lots["a"]
    run = found.out - found.begins
    # shared variance: the wood is 0.8 of the drying outdoors and 0.5 of the run
    assert np.corrcoef(found.air, run)[0, 1] == pytest.approx(math.sqrt(0.8 * 0.5), abs=0.03)


def test_the_same_question_gets_the_same_answer():
    lots = [Lot("a", "oak", air=WIDE, charge="ours")]
    line = [kiln(Charge("ours", "", WIDE, lots=("a",)))]
    assert promise(lots, line, today=TODAY, seed=5) == promise(lots, line, today=TODAY, seed=5)


def test_no_date_is_given_where_none_holds():
    found = promise([Lot("a", "wet oak", air=Spread(50, 200, math.inf))], today=TODAY)
    assert found.nine_in_ten is None
    assert abs((found.middle - day_after(TODAY, 202)).days) <= 3
    assert "No date holds nine times in ten" in found.holds_up


def test_what_holds_it_up_is_the_longest_stage_and_the_widest():
    lot = Lot("a", "Oak of A-1", air=Spread(60, 90, 150), charge="ours")
    found = promise([lot], [kiln(Charge("ours", "", SURE, lots=("a",)))], today=TODAY)
    assert found.holds_up.startswith("Oak of A-1: drying outdoors takes most of it, about 9")
    assert found.stages == pytest.approx({"air": 90, "run": 10, "pick": 2}, abs=1)
    assert found.spread_shares == {"air": 1.0}


def test_a_measurement_that_halves_the_interval_halves_the_margin():
    """Nine in ten lies 20 days after the middle; with half the interval 10: ten days sooner."""
    found = promise(
        [Lot("a", "oak", air=WIDE)], today=TODAY, measures=[Measure("a", "An oven section of A-1", 0.5)]
    )  # fmt: skip
    assert [gain.words for gain in found.gains] == ["An oven section of A-1: about 10 days sooner."]


def test_going_before_a_planned_run_saves_its_days():
    runs = [Charge("1", "1", SURE), Charge("ours", "", SURE, lots=("a",))]
    found = promise([Lot("a", "oak", charge="ours")], [kiln(*runs)], today=TODAY)
    assert [round(gain.days) for gain in found.gains] == [12]
    assert "next charge of Barn kiln" in found.gains[0].words


def test_a_charge_that_nobody_has_is_refused():
    with pytest.raises(ValueError, match="no kiln has"):
        simulate([Lot("a", "oak", charge="gone")])
    with pytest.raises(ValueError, match="needs wood"):
        simulate([])


def test_shares_of_a_chance_must_make_a_whole():
    z = chance("a", 100, 0)
    with pytest.raises(ValueError, match="sum to 1"):
        mixed((0.5, z), (0.4, z))
    with pytest.raises(ValueError, match="low over middle"):
        Spread(5, 4, 6)

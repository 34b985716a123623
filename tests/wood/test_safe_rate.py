"""Safe drying rates: the printed ones, between and beyond, and woods that no source rates."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.published_tables import published
from yard.wood.ranges import OutsideRange
from yard.wood.safe_rate import (
    days_at_rate,
    loss_pct_per_day,
    rate_notes,
    safe_rate,
    safe_rate_pct_per_day,
)
from yard.wood.sources import source
from yard.wood.species import all_species, species

ANY = st.floats(allow_nan=True, allow_infinity=True)
KEYS = st.sampled_from([row.key for row in all_species()])
INCHES = {"4/4": 1.0, "8/4": 2.0}
PRINTED = published("safe_rates.csv")


def test_every_printed_rate_comes_out_with_its_source():
    """Only the 4/4 oaks and 8/4 walnut were read; the other rows are from memory and say so."""
    for row in PRINTED:
        found = safe_rate(row["species_key"], INCHES[row["thickness"]])
        assert found.pct_per_day == float(row["rate_pct_per_day"])
        assert (found.basis, found.estimated) == ("printed", False)
        assert source(found.source_key)
    read = {
        (row["species_key"], row["thickness"])
        for row in PRINTED
        if safe_rate(row["species_key"], INCHES[row["thickness"]]).provenance == "read"
    }
    assert read == {("oak-northern-red", "4/4"), ("oak-white", "4/4"), ("walnut-black", "8/4")}


def test_two_inch_stock_dries_two_and_a_half_times_slower():
    """Read: 8/4 must be dried 2.5 times more slowly than 4/4; the printed pairs hold it to their last digit."""
    for key in {row["species_key"] for row in PRINTED}:
        assert safe_rate_pct_per_day(key, 2) == pytest.approx(safe_rate_pct_per_day(key, 1) / 2.5, abs=0.0601)


def test_rates_between_follow_the_published_factors():
    """From memory: 5/4 three quarters, 6/4 six tenths of the rate at 4/4."""
    for key in ("oak-white", "walnut-black", "maple-red"):
        thin = safe_rate_pct_per_day(key, 1)
        assert safe_rate_pct_per_day(key, 1.25) == pytest.approx(0.75 * thin)
        assert safe_rate_pct_per_day(key, 1.5) == pytest.approx(0.6 * thin)


def test_beyond_8_4_the_rate_falls_by_the_power_law_through_4_4_and_8_4():
    """Inferred, no source: two and a half times slower at twice the thickness is the power 1.32."""
    for key in ("oak-white", "walnut-black"):
        thick = safe_rate_pct_per_day(key, 2)
        assert safe_rate_pct_per_day(key, 4) == pytest.approx(thick / 2.5, rel=0.005)
        assert safe_rate_pct_per_day(key, 3) == pytest.approx(thick * 0.234 / 0.4, rel=0.005)


@given(key=KEYS, sizes=st.tuples(st.floats(0.5, 4), st.floats(0.5, 4)))
def test_thicker_stock_may_never_dry_faster(key, sizes):
    thinner, thicker = sorted(sizes)
    assert safe_rate_pct_per_day(key, thicker) <= safe_rate_pct_per_day(key, thinner) + 1e-12


def test_a_wood_that_no_source_rates_takes_the_slowest_of_its_drying_group_and_says_so():
    for row in all_species():
        found = safe_rate(row, 1)
        if found.basis != "drying group":
            continue
        assert found.estimated
        assert "no source" in found.provenance
        group = [p for p in PRINTED if species(p["species_key"]).drying_group == row.drying_group]
        assert found.pct_per_day == min(float(p["rate_pct_per_day"]) for p in group if p["thickness"] == "4/4")


def test_thicknesses_between_and_beyond_say_that_they_are_brought_over():
    for thickness_in in (0.75, 1.125, 3):
        found = safe_rate("oak-white", thickness_in)
        assert (found.basis, found.estimated) == ("thickness rule", True)


def test_thickness_outside_every_rule_is_refused():
    for thickness_in in (0.4, 4.5):
        with pytest.raises(OutsideRange, match="thickness"):
            safe_rate("oak-white", thickness_in)


def test_rate_and_days_agree():
    assert loss_pct_per_day(30, 7, days_at_rate(30, 7, 3)) == pytest.approx(3)
    assert loss_pct_per_day(10, 12, 2) == -1


def test_wet_wood_hears_that_quality_is_decided_now_and_dry_wood_that_the_limit_is_idle():
    assert "high-mc" in [note.key for note in rate_notes("oak-white", 46)]
    assert "high-mc" not in [note.key for note in rate_notes("oak-white", 45)]
    assert [note.key for note in rate_notes("cherry-black", 14)] == ["low-mc"]
    assert "walnut" in [note.key for note in rate_notes("walnut-black", 29)]
    assert "walnut" not in [note.key for note in rate_notes("butternut", 29)]
    assert all(source(note.source_key) for note in rate_notes("oak-white", 60))


@given(key=KEYS, one=ANY, two=ANY, three=ANY)
def test_no_figures_make_anything_but_a_rate_or_a_named_range(key, one, two, three):
    for ask in (
        lambda: safe_rate_pct_per_day(key, one),
        lambda: loss_pct_per_day(one, two, three),
        lambda: days_at_rate(one, two, three),
    ):
        try:
            found = ask()
        except OutsideRange:
            continue
        assert math.isfinite(found)

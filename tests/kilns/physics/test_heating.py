"""The time to a hot core against boards that were heated and measured, and against the equations' own limits.

Wood Handbook Table 20-4 (read): green hardwoods, 1 to 6 in, from 60 °F in steam of 157 °F, core to 133 °F.
"""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.heating import (
    HIGH_OF_PUBLISHED,
    LOW_OF_PUBLISHED,
    NeedsCoreProbe,
    core_share,
    heating_time,
    minutes_to_core,
)
from kilns.physics.wood_heat import wood_heat
from tests.published_tables import published
from yard.wood.ranges import OutsideRange
from yard.wood.species import species

BOARDS = [row for row in published("kiln_heating_times.csv") if "Table 20-4" in row["source"]]
IN_STEAM = [row for row in BOARDS if row["wet_bulb_depression_f"] == "0"]
IN_DRIER_AIR = [row for row in BOARDS if row["wet_bulb_depression_f"] == "10"]


def _ratio(row):
    """Computed over measured minutes; drier air through its wet bulb."""
    medium = float(row["medium_f"])
    sizes = float(row["thickness_in"]), float(row["width_in"])
    wet = medium - float(row["wet_bulb_depression_f"])
    start, core = float(row["start_f"]), float(row["core_f"])
    return minutes_to_core(row["species_key"], *sizes, None, start, medium, core, wet_bulb_f=wet) / float(
        row["minutes"]
    )


@pytest.mark.parametrize(
    "row", IN_STEAM, ids=lambda row: f"{row['species_key']} {row['thickness_in']}x{row['width_in']}"
)
def test_a_published_board_in_steam_is_within_29_over_and_7_under(row):
    assert 0.93 <= _ratio(row) <= 1.29


def test_the_published_boards_in_steam_are_on_average_within_a_tenth():
    ratios = [_ratio(row) for row in IN_STEAM]
    assert len(ratios) == 22
    assert sum(abs(one - 1) for one in ratios) / len(ratios) < 0.10
    assert LOW_OF_PUBLISHED <= min(ratios) < LOW_OF_PUBLISHED + 0.02
    assert HIGH_OF_PUBLISHED - 0.02 < max(ratios) <= HIGH_OF_PUBLISHED


def test_wet_boards_in_drier_air_are_never_promised_too_soon():
    """Followed at the wet bulb, 13 boards came out 1 to 27% slow, none fast: the careful side."""
    ratios = [_ratio(row) for row in IN_DRIER_AIR]
    assert len(ratios) == 13
    assert min(ratios) >= 1.0
    assert max(ratios) <= 1.29


def test_ponderosa_timbers_of_the_regression_table_are_told_apart_from_the_boards():
    """Table 20-8 is a regression over slower air: our minutes at its wet bulb are 0.67 to 1.32 of its means, and all
    under its upper limits. Stated, not fitted."""
    rows = [row for row in published("kiln_heating_times.csv") if "Table 20-8" in row["source"]]
    ratios = [_ratio(row) for row in rows]
    assert len(ratios) > 30
    assert min(ratios) > 0.65
    assert max(ratios) < 1.35
    upper = [_ratio(row) * float(row["minutes"]) / float(row["upper_minutes"]) for row in rows]
    assert max(upper) < 1.0


def test_the_middle_of_a_slab_follows_the_published_chart():
    """Carslaw and Jaeger: with α t/a² = 0.05, 0.1 and 0.2 the middle keeps 0.7723, 0.4745 and 0.1769."""
    for number, left in ((0.05, 0.7723), (0.1, 0.4745), (0.2, 0.1769)):
        assert core_share(1e-7, 0.1, number * 0.01 / 1e-7) == pytest.approx(left, abs=2e-4)


def test_a_wide_board_is_a_slab_and_a_square_is_faster():
    heat = wood_heat("oak-northern-red", 80, 108.5)
    alone = minutes_to_core("oak-northern-red", 2, 24, 80, 60, 157)
    seconds = 60 * alone
    left = (157 - 133) / (157 - 60)
    assert core_share(heat.diffusivity_m2_s, 2 * 0.0254, seconds) == pytest.approx(left, rel=1e-3)
    assert minutes_to_core("oak-northern-red", 2, 2, 80, 60, 157) < 0.75 * alone


def test_the_time_grows_with_the_square_of_the_size():
    one, two = (minutes_to_core("maple-red", size, size, 60, 60, 157) for size in (2, 4))
    assert two == pytest.approx(4 * one, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 6), st.floats(0.5, 12), st.floats(33, 120), st.floats(140, 212))
def test_thicker_colder_and_cooler_all_take_longer(thickness_in, width_in, start_f, medium_f):
    minutes = minutes_to_core("ash-white", thickness_in, width_in, 40, start_f, medium_f)
    assert minutes > 0
    assert minutes_to_core("ash-white", thickness_in * 1.1, width_in * 1.1, 40, start_f, medium_f) > minutes
    assert (
        minutes_to_core("ash-white", thickness_in, width_in, 40, start_f - 20 if start_f > 53 else start_f, medium_f)
        >= minutes
    )


def test_without_a_moisture_content_the_green_average_stands():
    green = species("oak-white").green_mc_average_pct
    assert minutes_to_core("oak-white", 2, 6, None, 60, 157) == minutes_to_core("oak-white", 2, 6, green, 60, 157)


def test_frozen_wood_takes_longer_by_about_its_ice():
    """Free water of red oak at 80% MC: melting it takes as much heat as warming the wood by 80 °F or so."""
    heat = wood_heat("oak-northern-red", 80, 80)
    ice_f = heat.fusion_j_m3 / heat.capacity_j_m3_k * 1.8
    assert 60 < ice_f < 120
    frozen, thawed = (minutes_to_core("oak-northern-red", 2, 6, 80, start, 157) for start in (20, 33))
    assert 1.2 < frozen / thawed < 2.0


def test_wood_without_free_water_has_no_ice_to_melt():
    steady = minutes_to_core("oak-northern-red", 2, 6, 20, 40, 157) / minutes_to_core(
        "oak-northern-red", 2, 6, 20, 0, 157
    )
    assert 0.7 < steady < 1.0


def test_wet_wood_under_a_low_wet_bulb_gets_no_time_but_a_probe():
    with pytest.raises(NeedsCoreProbe, match="only a core probe can tell"):
        minutes_to_core("oak-northern-red", 2, 6, 60, 60, 150, wet_bulb_f=120)
    assert minutes_to_core("oak-northern-red", 2, 6, 10, 60, 150, wet_bulb_f=120) > 0


def test_the_interval_comes_from_the_published_boards():
    time = heating_time("oak-northern-red", 2, 6, None, 10, 157)
    assert time.minutes / time.low_min == pytest.approx(HIGH_OF_PUBLISHED)
    assert time.minutes / time.high_min == pytest.approx(LOW_OF_PUBLISHED)
    assert any("Frozen" in reason for reason in time.reasons)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"thickness_in": 0.1}, "thickness"),
        ({"width_in": 30}, "width"),
        ({"mc_pct": 300}, "moisture content"),
        ({"start_f": 140}, "start temperature"),
        ({"medium_f": 133}, "temperature of the medium"),
        ({"medium_f": 230}, "temperature of the medium"),
        ({"core_f": 20}, "core temperature"),
    ],
)
def test_what_the_equations_do_not_cover_is_refused(change, match):
    asked = {"thickness_in": 2, "width_in": 6, "mc_pct": 60, "start_f": 60, "medium_f": 157, "core_f": 133} | change
    with pytest.raises(OutsideRange, match=match):
        minutes_to_core("oak-northern-red", **asked)


@settings(deadline=None)
@given(st.floats(allow_nan=True, allow_infinity=True), st.floats(allow_nan=True, allow_infinity=True))
def test_no_figures_make_anything_but_minutes_or_a_named_range(one, two):
    try:
        found = minutes_to_core("oak-northern-red", one, two, two, one, two)
    except OutsideRange:
        return
    assert math.isfinite(found)

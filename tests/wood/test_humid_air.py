"""Humid air: the kiln table first, then an independent library, then limits and refusals."""

import math

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.published_tables import published
from yard.wood.humid_air import (
    COLDEST_WICK_F,
    absolute_humidity_lb_per_ft3,
    air_density_lb_per_ft3,
    dew_point_f,
    enthalpy_btu_per_lb,
    humidity_ratio,
    pressure_psi,
    rh_pct_from_dew_point,
    rh_pct_from_wet_bulb,
    saturation_pressure_psi,
    wet_bulb_f,
)
from yard.wood.ranges import OutsideRange

KILN_TABLE = published("kiln_table_1_6.csv")
RH_TOLERANCE_PCT = 1.2
# points; the table is printed to whole points and rests on older vapour pressures

ANY = st.floats(allow_nan=True, allow_infinity=True)


def _c(temp_f):
    return (temp_f - 32) / 1.8


def _bulbs(row):
    dry_f = float(row["dry_bulb_f"])
    return dry_f, dry_f - float(row["depression_f"])


def test_humidity_from_two_bulbs_meets_every_cell_of_the_kiln_table():
    """All cells are from memory: AH-188 Table 1-6."""
    unfrozen = [row for row in KILN_TABLE if min(_bulbs(row)) >= COLDEST_WICK_F]
    off = []
    for row in unfrozen:
        gap = rh_pct_from_wet_bulb(*_bulbs(row)) - float(row["rh_pct"])
        if abs(gap) > RH_TOLERANCE_PCT:
            off.append((*_bulbs(row), gap))
    assert len(unfrozen) == 234
    assert off == []


def test_humidity_from_two_bulbs_does_not_lean_away_from_the_kiln_table():
    """From memory: where the bulbs stand 10 °F apart or more, the mean error stays under a third of a point."""
    gaps = [
        rh_pct_from_wet_bulb(*_bulbs(row)) - float(row["rh_pct"])
        for row in KILN_TABLE
        if min(_bulbs(row)) >= COLDEST_WICK_F and float(row["depression_f"]) >= 10
    ]
    assert len(gaps) == 157
    assert abs(sum(gaps) / len(gaps)) < 0.33


def test_kiln_table_cells_with_a_freezing_wick_are_refused_with_the_advice_to_use_a_sensor():
    frozen = [row for row in KILN_TABLE if min(_bulbs(row)) < COLDEST_WICK_F]
    assert len(frozen) == 14
    for row in frozen:
        with pytest.raises(OutsideRange, match="sensor"):
            rh_pct_from_wet_bulb(*_bulbs(row))


def test_wet_bulb_is_the_inverse_of_humidity_from_two_bulbs():
    for row in KILN_TABLE:
        dry_f, wet_f = _bulbs(row)
        if min(dry_f, wet_f) >= COLDEST_WICK_F:
            assert wet_bulb_f(dry_f, rh_pct_from_wet_bulb(dry_f, wet_f)) == pytest.approx(wet_f, abs=1e-6)


def test_arrays_give_what_single_numbers_give():
    rows = [_bulbs(row) for row in KILN_TABLE if min(_bulbs(row)) >= COLDEST_WICK_F]
    dry_f, wet_f = np.array(rows).T
    together = rh_pct_from_wet_bulb(dry_f, wet_f, 1000)
    assert together == pytest.approx([rh_pct_from_wet_bulb(d, w, 1000) for d, w in rows], abs=1e-9)
    assert rh_pct_from_dew_point(dry_f, wet_f) == pytest.approx(
        [rh_pct_from_dew_point(d, w) for d, w in rows], abs=1e-9
    )


@pytest.mark.parametrize("elevation_ft", [0, 1000, 5000, 9000])
def test_psychrolib_gives_the_same_pressure_water_and_density_above_freezing(elevation_ft):
    pressure_pa = psychrolib.GetStandardAtmPressure(elevation_ft * 0.3048)
    assert pressure_psi(elevation_ft) * 6894.757 == pytest.approx(pressure_pa, rel=1e-6)
    for temp_f in (33, 50, 70, 100, 130, 160):
        for rh_pct in (1, 20, 50, 80, 100):
            ratio = psychrolib.GetHumRatioFromRelHum(_c(temp_f), rh_pct / 100, pressure_pa)
            assert humidity_ratio(temp_f, rh_pct, elevation_ft) == pytest.approx(ratio, rel=1e-4)
            density = psychrolib.GetMoistAirDensity(_c(temp_f), ratio, pressure_pa)
            assert air_density_lb_per_ft3(temp_f, rh_pct, elevation_ft) * 16.01846 == pytest.approx(density, rel=1e-4)


def test_psychrolib_gives_the_same_vapour_pressure_dew_point_and_heat_above_freezing():
    for temp_f in (33, 50, 70, 100, 130, 160, 212):
        expected_pa = psychrolib.GetSatVapPres(_c(temp_f))
        assert saturation_pressure_psi(temp_f) * 6894.757 == pytest.approx(expected_pa, rel=1e-5)
    for temp_f, rh_pct in [(70, 50), (70, 90), (100, 20), (150, 30), (45, 80)]:
        expected_f = psychrolib.GetTDewPointFromRelHum(_c(temp_f), rh_pct / 100) * 1.8 + 32
        assert dew_point_f(temp_f, rh_pct) == pytest.approx(expected_f, abs=0.01)
        ratio = psychrolib.GetHumRatioFromRelHum(_c(temp_f), rh_pct / 100, 101325)
        joules_per_kg = psychrolib.GetMoistAirEnthalpy(_c(temp_f), ratio)
        # the two forms count from 0 °C and 0 °F: 17.86 kJ/kg of dry air apart (1.006 x 17.78 °C)
        assert enthalpy_btu_per_lb(temp_f, rh_pct) * 2.326 == pytest.approx(joules_per_kg / 1000 + 17.86, abs=0.15)


def test_a_wick_reads_drier_air_than_the_thermodynamic_wet_bulb_by_under_a_point_on_average():
    """The kiln table follows the wick: psychrolib stands about 0.7 points over it on average."""
    gaps = []
    for row in KILN_TABLE:
        dry_f, wet_f = _bulbs(row)
        if min(dry_f, wet_f) >= COLDEST_WICK_F:
            library = 100 * psychrolib.GetRelHumFromTWetBulb(_c(dry_f), _c(wet_f), 101325)
            gaps.append(library - rh_pct_from_wet_bulb(dry_f, wet_f))
    assert 0.3 < sum(gaps) / len(gaps) < 1.0
    assert max(abs(gap) for gap in gaps) < 2.5


def test_common_tables_of_water_in_saturated_air_are_met():
    """Grams a cubic metre at 0, 10, 20, 30 and 40 °C: common tables, from memory."""
    for temp_c, grams in [(0, 4.85), (10, 9.40), (20, 17.3), (30, 30.4), (40, 51.2)]:
        held = absolute_humidity_lb_per_ft3(temp_c * 1.8 + 32, 100) * 16018.46
        assert held == pytest.approx(grams, rel=0.005)


def test_dew_points_below_freezing_are_over_water_as_weather_stations_report_them():
    """Over supercooled water at -10 °C the vapour pressure is 2.86 hPa, over ice 2.60 (Magnus, from memory)."""
    assert saturation_pressure_psi(14) * 68.94757 == pytest.approx(2.86, abs=0.01)
    assert rh_pct_from_dew_point(14, dew_point_f(14, 60)) == pytest.approx(60, abs=1e-6)


def test_higher_ground_makes_the_same_bulbs_mean_moister_air():
    assert rh_pct_from_wet_bulb(120, 90, 5000) > rh_pct_from_wet_bulb(120, 90, 0)


def test_a_wet_bulb_over_the_dry_bulb_is_refused_with_what_to_check():
    with pytest.raises(OutsideRange, match="swapped"):
        rh_pct_from_wet_bulb(90, 100)
    with pytest.raises(OutsideRange, match="swapped"):
        rh_pct_from_wet_bulb(np.array([100.0, 90.0]), np.array([90.0, 100.0]))


def test_a_wet_bulb_below_the_driest_air_is_refused_with_the_lowest_it_can_be():
    with pytest.raises(OutsideRange, match="Drier than the driest") as refused:
        rh_pct_from_wet_bulb(150, 50)
    assert rh_pct_from_wet_bulb(150, refused.value.low) < 1


def test_a_freezing_wick_is_refused_both_ways():
    with pytest.raises(OutsideRange, match="sensor"):
        wet_bulb_f(40, 20)
    with pytest.raises(OutsideRange, match="sensor"):
        rh_pct_from_wet_bulb(40, 32.9)


def test_a_wick_above_boiling_is_refused_on_high_ground():
    with pytest.raises(OutsideRange, match="boils"):
        rh_pct_from_wet_bulb(205, 204, 12000)
    with pytest.raises(OutsideRange, match="boils"):
        wet_bulb_f(209, 99, 12000)
    with pytest.raises(OutsideRange, match="steam"):
        humidity_ratio(260, 90)


@given(dry=ANY, wet=ANY, height=ANY)
def test_no_bulbs_make_anything_but_a_humidity_or_a_named_range(dry, wet, height):
    try:
        found = rh_pct_from_wet_bulb(dry, wet, height)
    except OutsideRange:
        return
    assert 0 <= found <= 100


@given(
    dry=st.floats(-80, 300),
    rh=st.floats(-5, 105),
    height=st.floats(-2000, 16000),
)
def test_no_air_makes_anything_but_figures_or_a_named_range(dry, rh, height):
    for ask in (
        lambda: wet_bulb_f(dry, rh, height),
        lambda: dew_point_f(dry, rh),
        lambda: humidity_ratio(dry, rh, height),
        lambda: absolute_humidity_lb_per_ft3(dry, rh),
        lambda: enthalpy_btu_per_lb(dry, rh, height),
        lambda: air_density_lb_per_ft3(dry, rh, height),
        lambda: rh_pct_from_dew_point(dry, rh),
    ):
        try:
            found = ask()
        except OutsideRange:
            continue
        assert math.isfinite(found)


@given(dry=st.floats(60, 200), rh=st.floats(20, 100), height=st.floats(-1500, 7000))
def test_wet_bulb_and_dew_point_lie_below_the_dry_bulb_and_lead_back_to_the_humidity(dry, rh, height):
    try:
        wet = wet_bulb_f(dry, rh, height)
    except OutsideRange:
        return
    dew = dew_point_f(dry, rh)
    assert dew - 0.5 <= wet <= dry + 1e-9
    assert rh_pct_from_wet_bulb(dry, wet, height) == pytest.approx(rh, abs=1e-6)
    assert rh_pct_from_dew_point(dry, dew) == pytest.approx(rh, abs=1e-6)

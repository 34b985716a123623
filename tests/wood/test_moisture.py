"""Equilibrium moisture content both ways, and moisture content from weights."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.published_tables import published
from yard.wood.humid_air import COLDEST_WICK_F, rh_pct_from_wet_bulb
from yard.wood.moisture import (
    equilibrium_mc_pct,
    mc_pct,
    oven_dry_lb,
    rh_pct_at_emc,
    sample_mc_pct,
    sample_oven_dry_lb,
)
from yard.wood.ranges import OutsideRange

EMC_TOLERANCE_PCT = 0.07
# % MC; the table is printed to 0.1, and its figures come from the same equation with rounded coefficients

ANY = st.floats(allow_nan=True, allow_infinity=True)
TEMPS = st.floats(-60, 270)


def test_emc_meets_every_cell_of_the_handbook_table():
    """All cells are from memory: Wood Handbook Table 4-2. Even the rows over 210 °F hold, 230 °F too."""
    rows = published("emc_table_4_2.csv")
    off = []
    for row in rows:
        gap = equilibrium_mc_pct(float(row["temp_f"]), float(row["rh_pct"])) - float(row["emc_pct"])
        if abs(gap) > EMC_TOLERANCE_PCT:
            off.append((row["temp_f"], row["rh_pct"], gap))
    assert len(rows) == 212
    assert off == []


def test_emc_from_two_bulbs_stays_near_the_kiln_table():
    """From memory: AH-188 Table 1-6. Its own EMC lies up to 0.7 under the handbook's at the same humidity."""
    gaps = []
    for row in published("kiln_table_1_6.csv"):
        dry_f = float(row["dry_bulb_f"])
        wet_f = dry_f - float(row["depression_f"])
        if row["emc_pct"] and min(dry_f, wet_f) >= COLDEST_WICK_F:
            humidity = rh_pct_from_wet_bulb(dry_f, wet_f)
            gaps.append(equilibrium_mc_pct(dry_f, humidity) - float(row["emc_pct"]))
    assert len(gaps) > 180
    assert max(abs(gap) for gap in gaps) < 0.7
    assert abs(sum(gaps) / len(gaps)) < 0.2


def test_humidity_at_an_emc_meets_every_cell_of_the_handbook_table():
    """The table's EMC is good to 0.05 of printing and 0.07 of equation: so much humidity either side."""
    for row in published("emc_table_4_2.csv"):
        temp_f, rh_pct, emc_pct = (float(row[name]) for name in ("temp_f", "rh_pct", "emc_pct"))
        low = rh_pct_at_emc(temp_f, emc_pct - EMC_TOLERANCE_PCT)
        high = rh_pct_at_emc(temp_f, emc_pct + EMC_TOLERANCE_PCT)
        assert low <= rh_pct <= high


@given(temp=TEMPS, rh=st.floats(0, 100))
def test_humidity_and_emc_lead_back_to_each_other(temp, rh):
    emc = equilibrium_mc_pct(temp, rh)
    assert rh_pct_at_emc(temp, emc) == pytest.approx(rh, abs=1e-6)


@given(temp=TEMPS, rh=st.tuples(st.floats(0, 100), st.floats(0, 100)))
def test_moister_air_holds_wood_wetter(temp, rh):
    drier, wetter = sorted(rh)
    assert equilibrium_mc_pct(temp, drier) <= equilibrium_mc_pct(temp, wetter) + 1e-12


def test_air_colder_than_minus_10_holds_wood_as_at_minus_10():
    """Our own choice, named where it stands: the equation's polynomials bend away in colder air."""
    assert equilibrium_mc_pct(-60, 70) == equilibrium_mc_pct(-25, 70) == equilibrium_mc_pct(-10, 70)
    assert equilibrium_mc_pct(-9, 70) != equilibrium_mc_pct(-10, 70)


def test_dry_air_dries_wood_out_and_saturated_air_brings_it_to_about_fibre_saturation():
    assert equilibrium_mc_pct(70, 0) == 0
    assert 27 < equilibrium_mc_pct(70, 100) < 30


def test_arrays_of_any_shape_give_what_single_numbers_give():
    temps, humidities = np.linspace(-60, 270, 67)[:, None], np.linspace(0, 100, 41)[None, :]
    together = equilibrium_mc_pct(temps, humidities)
    assert together.shape == (67, 41)
    for i in (0, 20, 66):
        for j in (0, 13, 40):
            alone = equilibrium_mc_pct(float(temps[i, 0]), float(humidities[0, j]))
            assert together[i, j] == pytest.approx(alone, abs=1e-12)
    back = rh_pct_at_emc(np.broadcast_to(temps, together.shape), together)
    assert back == pytest.approx(np.broadcast_to(humidities, together.shape), abs=1e-6)
    assert equilibrium_mc_pct(np.array([]), np.array([])).size == 0


def test_blocks_meet_at_their_edges():
    temps = np.linspace(0, 200, 20_001)
    together = equilibrium_mc_pct(temps, 60.0)
    assert together[[8191, 8192, 16384, 20_000]] == pytest.approx(
        [equilibrium_mc_pct(float(temps[i]), 60.0) for i in (8191, 8192, 16384, 20_000)], abs=1e-12
    )


def test_one_bad_value_among_many_is_refused_and_named():
    with pytest.raises(OutsideRange, match="relative humidity 101%"):
        equilibrium_mc_pct(np.array([70.0, 70.0]), np.array([50.0, 101.0]))
    with pytest.raises(OutsideRange, match="temperature"):
        equilibrium_mc_pct(np.array([70.0, np.nan]), 50.0)


def test_no_air_holds_wood_above_its_saturated_emc():
    with pytest.raises(OutsideRange, match="EMC 35% is outside 0 to 2"):
        rh_pct_at_emc(70, 35)


@given(temp=ANY, rh=ANY)
def test_no_air_makes_anything_but_an_emc_or_a_named_range(temp, rh):
    for ask in (equilibrium_mc_pct, rh_pct_at_emc):
        try:
            found = ask(temp, rh)
        except OutsideRange:
            continue
        assert math.isfinite(found)


def test_the_sample_board_of_the_kiln_manual_comes_out():
    """From memory: AH-188 ch. 6. The book rounds the oven-dry weight to 2.32 lb before it goes on."""
    assert round(oven_dry_lb(4.46, 92.4), 2) == 2.32
    assert round(sample_oven_dry_lb(4.46, [92.4]), 2) == 2.32
    assert round(mc_pct(4.14, 2.32)) == 78
    assert sample_mc_pct(4.14, 4.46, [92.4]) == pytest.approx(78.4, abs=0.25)


def test_two_sections_count_by_their_mean():
    assert sample_oven_dry_lb(4.46, [90.0, 94.8]) == sample_oven_dry_lb(4.46, [92.4])


def test_weight_below_oven_dry_and_nothing_weighed_are_refused_with_what_to_do():
    with pytest.raises(OutsideRange, match="Weigh again"):
        mc_pct(1.9, 2.0)
    with pytest.raises(OutsideRange, match="more than nothing"):
        mc_pct(1.0, 0.0)
    with pytest.raises(OutsideRange, match="at least one"):
        sample_oven_dry_lb(4.46, [])


@given(wet=ANY, dry=ANY, content=ANY)
def test_no_weights_make_anything_but_figures_or_a_named_range(wet, dry, content):
    for ask in (
        lambda: mc_pct(wet, dry),
        lambda: oven_dry_lb(wet, content),
        lambda: sample_mc_pct(wet, dry, [content]),
    ):
        try:
            found = ask()
        except OutsideRange:
            continue
        assert math.isfinite(found)


@given(dry=st.floats(0.1, 1000), content=st.floats(0, 390))
def test_weight_and_moisture_content_lead_back_to_each_other(dry, content):
    wet = dry * (1 + content / 100)
    assert oven_dry_lb(wet, content) == pytest.approx(dry)
    assert mc_pct(max(wet, dry), dry) == pytest.approx(content, abs=1e-9)

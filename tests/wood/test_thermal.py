"""Heat in wood, beside the worked examples: limits and refusals."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.wood.ranges import OutsideRange
from yard.wood.thermal import conductivity_w_per_m_k, heat_capacity_kj_per_kg_k

ANY = st.floats(allow_nan=True, allow_infinity=True)


def test_wetter_and_denser_wood_conducts_better():
    assert conductivity_w_per_m_k(0.6, 20) > conductivity_w_per_m_k(0.6, 5) > conductivity_w_per_m_k(0.4, 5)


def test_moist_wood_takes_more_heat_than_dry_and_less_than_water():
    assert heat_capacity_kj_per_kg_k(0, 80) < heat_capacity_kj_per_kg_k(20, 80) < 4.18


def test_wet_wood_is_outside_both_equations():
    with pytest.raises(OutsideRange, match="moisture content"):
        conductivity_w_per_m_k(0.5, 26)
    with pytest.raises(OutsideRange, match="moisture content"):
        heat_capacity_kj_per_kg_k(31, 80)


@given(one=ANY, two=ANY, three=ANY)
def test_no_figures_make_anything_but_heat_or_a_named_range(one, two, three):
    for ask in (
        lambda: conductivity_w_per_m_k(one, two, three),
        lambda: heat_capacity_kj_per_kg_k(one, two),
    ):
        try:
            found = ask()
        except OutsideRange:
            continue
        assert math.isfinite(found)

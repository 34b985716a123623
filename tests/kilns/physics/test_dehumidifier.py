"""Dehumidifiers: the ratings at two airs (from memory, medium), the heat they give, what caught water proves."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.dehumidifier import Dehumidifier, capacity_lb_per_day, heat_btuh, mc_at_most_pct, water_check
from kilns.physics.load_heat import Load
from yard.wood.ranges import OutsideRange

OAK = Load("oak-northern-red", 500, 1, 50)


@pytest.mark.parametrize(("new", "old"), [(50, 70), (35, 50), (22, 30)])
def test_ratings_at_65_and_80_degrees_belong_together(new, old):
    found = capacity_lb_per_day(Dehumidifier(new, 1.6), 80, 60) / 1.043
    assert found == pytest.approx(old, rel=0.045)


def test_the_rated_air_gives_the_rated_capacity():
    assert capacity_lb_per_day(Dehumidifier(50, 1.6), 65, 60) == pytest.approx(52.15)


def test_above_its_hottest_air_and_under_its_frost_it_takes_nothing():
    unit = Dehumidifier(50, 1.6, hottest_f=95)
    assert capacity_lb_per_day(unit, 95, 50) > 0
    assert capacity_lb_per_day(unit, 95.1, 50) == 0
    assert capacity_lb_per_day(unit, 50, 50) == 0


@settings(deadline=None)
@given(st.floats(60, 95), st.floats(30, 95), st.floats(0, 5))
def test_moister_or_warmer_air_never_gives_less(temp_f, rh_pct, more):
    unit = Dehumidifier(50, 1.6)
    here = capacity_lb_per_day(unit, temp_f, rh_pct)
    assert capacity_lb_per_day(unit, temp_f, min(100, rh_pct + more)) >= here - 1e-9


def test_the_days_water_is_held_against_the_capacity():
    check = water_check(OAK, 3.0, Dehumidifier(22, 1.3), 80, 60)
    assert check.water_lb_per_day == pytest.approx(1456 * 0.03)
    assert not check.enough
    assert check.share > 1
    assert water_check(OAK, 3.0, Dehumidifier(22, 1.3, hottest_f=70), 80, 60).share == float("inf")


def test_all_the_current_ends_as_heat():
    """A kWh is 3,412 Btu: at 1 L/kWh a pound takes 0.4536 kWh."""
    latent = heat_btuh(Dehumidifier(50, 1e1), 1.0, 80) - 0.45359237 / 10 * 3412.142
    assert heat_btuh(Dehumidifier(50, 1.0), 1.0, 80) - latent == pytest.approx(0.45359237 * 3412.142)


def test_caught_water_is_a_bound_and_more_than_all_is_refused():
    assert mc_at_most_pct(OAK, 0) == 50
    assert mc_at_most_pct(OAK, 145.6) == pytest.approx(40)
    with pytest.raises(OutsideRange, match="all the water"):
        mc_at_most_pct(OAK, 800)

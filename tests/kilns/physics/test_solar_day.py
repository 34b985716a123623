"""A day in a solar kiln: warm and dry by day, moist at night, never hotter than the step."""

from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.schedules import assemble
from kilns.physics.solar_day import MOISTEST_PCT, solar_day

STEPS = st.sampled_from([step for code in ("T4-D2", "T8-B4", "T2-C1") for step in assemble(code)])


@settings(deadline=None)
@given(STEPS, st.floats(-10, 80), st.floats(5, 30), st.floats(5, 40))
def test_nights_are_cooler_and_moister_than_days(step, low_f, swing_f, rise_f):
    day = solar_day(step, low_f, low_f + swing_f, rise_f)
    hottest = max(day.hours, key=lambda hour: hour.dry_bulb_f)
    coldest = min(day.hours, key=lambda hour: hour.dry_bulb_f)
    assert hottest.rh_pct <= coldest.rh_pct + 1e-9
    assert 9 <= hottest.hour <= 17
    assert coldest.hour <= 8 or coldest.hour >= 19
    assert max(hour.rh_pct for hour in day.hours) <= MOISTEST_PCT


@settings(deadline=None)
@given(STEPS, st.floats(20, 70), st.floats(5, 30), st.floats(5, 60))
def test_no_hour_is_hotter_than_the_step_or_the_outdoor_air(step, low_f, swing_f, rise_f):
    day = solar_day(step, low_f, low_f + swing_f, rise_f)
    assert max(hour.dry_bulb_f for hour in day.hours) <= max(step.dry_bulb_f, low_f + swing_f) + 1e-9


def test_the_rise_over_the_outdoor_air_is_the_one_asked_for():
    """West Virginia University extension DR-1 (read): 20 to 30 °F on a sunny day."""
    day = solar_day(assemble("T4-D2").step_at(10), 50, 75, 25)
    assert 95 <= max(hour.dry_bulb_f for hour in day.hours) <= 100


def test_the_driest_hour_has_the_emc_of_the_step():
    step = assemble("T4-D2").step_at(33)
    day = solar_day(step, 50, 75, 25)
    assert abs(day.day_emc_pct - step.emc_pct) < 0.01
    assert day.night_emc_pct > step.emc_pct + 3


def test_held_by_the_mean_the_day_has_the_emc_of_the_step_and_noon_is_drier():
    step = assemble("T4-D2").step_at(38)
    day = solar_day(step, 50, 75, 25, "mean of the day")
    assert abs(day.emc_pct - step.emc_pct) < 0.01
    assert day.day_emc_pct < step.emc_pct


def test_vents_make_the_air_no_drier_than_the_outdoor_air():
    """Saturated at the night's low of 60 °F (0.256 psi), at 112 °F (1.35 psi) by hand 19%."""
    day = solar_day(assemble("T4-D2").step_at(8), 60, 82, 30)
    hottest = max(day.hours, key=lambda hour: hour.dry_bulb_f)
    assert abs(hottest.rh_pct - 19.5) < 1.5

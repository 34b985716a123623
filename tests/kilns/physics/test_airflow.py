"""Fans and stacks: continuity, fan curves, where fans and stack meet, the speeds that are usual."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.airflow import (
    air_needed_cfm,
    fan_curve,
    fan_speed_share,
    speed_advice,
    speed_advices,
    speed_fpm,
    velocity_pressure_in,
    working_point,
)
from yard.wood.ranges import OutsideRange
from yard.wood.stacking import open_air_area_ft2

CURVE = fan_curve([(0.0, 2000.0), (0.1, 1700.0), (0.2, 1200.0), (0.3, 0.0)])


def test_a_stack_of_29_courses_needs_its_open_area_times_the_speed():
    """16.41 ft² (28 gaps of 3/4 in, 10 ft less six stickers of 1-1/4 in) at 250 ft/min: 4,102 ft³/min by hand."""
    area = open_air_area_ft2(29, 0.75, 10.0, sticker_count=6, sticker_width_in=1.25)
    assert air_needed_cfm(area, 250) == pytest.approx(28 * 0.75 * 112.5 / 144 * 250)


@settings(deadline=None)
@given(st.floats(10, 50_000), st.floats(0.5, 200))
def test_speed_and_air_are_each_others_inverse(air_cfm, area_ft2):
    speed = speed_fpm(air_cfm, area_ft2)
    if speed <= 2000:
        assert air_needed_cfm(area_ft2, speed) == pytest.approx(air_cfm)


def test_a_curve_goes_straight_between_its_points_and_ends_with_them():
    assert CURVE.cfm_at(0.05) == 1850
    assert CURVE.cfm_at(0.3) == 0
    with pytest.raises(OutsideRange, match="curve ends"):
        CURVE.cfm_at(0.31)


@pytest.mark.parametrize(
    ("points", "match"),
    [
        ([(0.0, 2000.0)], "two or more"),
        ([(0.0, 2000.0), (0.0, 1800.0)], "between two points"),
        ([(0.0, 1000.0), (0.1, 1700.0)], "less air against more pressure"),
        ([(0.0, 1000.0), (0.1, float("nan"))], "air volume"),
    ],
)
def test_curves_that_no_fan_has_are_refused(points, match):
    with pytest.raises(OutsideRange, match=match):
        fan_curve(points)


@settings(deadline=None)
@given(st.integers(1, 6), st.floats(4, 60), st.floats(1, 8))
def test_fans_and_stack_meet_on_both_curves(fans, area_ft2, losses):
    point = working_point(CURVE, fans, area_ft2, losses)
    assert point.air_cfm == pytest.approx(fans * CURVE.cfm_at(point.static_in))
    assert losses * velocity_pressure_in(point.speed_fpm) == pytest.approx(point.static_in, abs=1e-6)


def test_a_stack_that_resists_beyond_the_curve_is_refused():
    short = fan_curve([(0.0, 2000.0), (0.02, 1900.0)])
    with pytest.raises(OutsideRange, match="resists more"):
        working_point(short, 2, 5.0, 3.0)


def test_the_usual_speeds_are_those_of_the_table():
    """AH-188 and extension texts, from memory; pine boards FPL-RN-0266 (read)."""
    spans = {one.key: (one.low_fpm, one.high_fpm) for one in speed_advices()}
    assert spans["steam-hardwood"] == (200, 450)
    assert spans["dehumidifying"] == (100, 350)
    assert spans["solar"] == (50, 150)
    assert spans["white-pine"] == (600, 700)
    assert all(one.provenance and one.source_key for one in speed_advices())
    assert [speed_advice("solar").says(one) for one in (40, 100, 200)] == ["slow", "usual", "fast"]
    with pytest.raises(KeyError, match="solar"):
        speed_advice("hand fan")


def test_half_speed_takes_an_eighth_of_the_power():
    assert fan_speed_share(0.5) == (0.5, 0.125)

"""The steady balance of a box against sums by hand, its own inverse, and the common small kiln's promises."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.dehumidifier import Dehumidifier
from kilns.physics.example_kiln import GLAZING_FT2, small_kiln
from kilns.physics.heat_balance import (
    Water,
    heat_flows,
    lowest_outdoor,
    power_needed_w,
    temperature_held,
    winter_chart,
)
from kilns.physics.kiln_box import KilnBox, over_limits
from kilns.physics.kiln_sheet import promises, vent_cfm
from kilns.physics.load_heat import Load
from kilns.physics.walls import Layer, Surface
from yard.wood.ranges import OutsideRange


def _box(**changes):
    """By hand: 200 ft² of R 20, 50 ft² of R 2, 300 ft³ with 1 change an hour: 10 + 25 + 5.4 = 40.4 Btu/(h °F)."""
    surfaces = (
        Surface("walls", 200, (Layer("foam", 20, 20),), films=False),
        Surface("glazing", 50, (Layer("sheet", 2, 2),), films=False),
    )
    return replace(KilnBox(surfaces, 300, 1.0, heater_w=1500, fan_w=100), **changes)


def test_the_flows_of_a_box_are_those_worked_out_by_hand():
    """At 120 °F inside and 20 outside: walls 35 x 100, air 0.018 x 300 x 100, 1,500 W = 5,118.2, 100 W = 341.2."""
    flows = heat_flows(_box(), 120, 20)
    assert flows.walls == pytest.approx(3500)
    assert flows.air == pytest.approx(540)
    assert flows.heaters == pytest.approx(5118.2, abs=0.1)
    assert flows.fans == pytest.approx(341.2, abs=0.1)
    assert flows.left_btuh == pytest.approx(5459.4 - 4040, abs=0.2)


def test_what_it_holds_is_the_heat_over_the_loss():
    """5,459.4 / 40.4 = 135.1 °F over the outdoor air."""
    assert temperature_held(_box(), 20).temp_f == pytest.approx(20 + 135.13, abs=0.05)
    assert lowest_outdoor(_box(), 140).temp_f == pytest.approx(140 - 135.13, abs=0.05)
    assert power_needed_w(_box(), 120, 20) == pytest.approx((4040 - 341.2) / 3.412142, abs=0.2)


def test_water_takes_its_heat_of_evaporation_and_five_percent():
    """A pound an hour at 120 °F: (2501 - 2.36 x 48.89) kJ/kg = 1,025.6 Btu/lb, x 1.05."""
    assert heat_flows(_box(), 120, 20, Water(1.0)).evaporation == pytest.approx(1025.6 * 1.05, rel=1e-3)


def test_condensing_gives_the_heat_of_the_water_back_with_the_current_on_top():
    """A pound an hour caught at 1.6 L/kWh: 1,025.6 + 0.4536/1.6 x 3,412 = 1,992.9 Btu/h."""
    box = _box(dehumidifier=Dehumidifier(50, 1.6, hottest_f=150))
    assert heat_flows(box, 120, 20, Water(1.0, 1.0)).dehumidifier == pytest.approx(1992.9, rel=1e-3)
    dry, wet = temperature_held(box, 20), temperature_held(box, 20, Water(1.0, 1.0))
    assert wet.temp_f > dry.temp_f


def test_caught_water_without_a_dehumidifier_is_refused():
    with pytest.raises(OutsideRange, match="no dehumidifier"):
        heat_flows(_box(), 120, 20, Water(1.0, 1.0))


def test_more_water_than_heat_is_refused_in_words():
    with pytest.raises(OutsideRange, match="The water alone takes more heat"):
        lowest_outdoor(_box(), 120, Water(6.0))


@settings(max_examples=50, deadline=None)
@given(st.floats(-40, 60), st.floats(0, 3))
def test_held_and_lowest_outdoor_are_each_others_inverse(outdoor_f, lb_per_h):
    held = temperature_held(_box(), outdoor_f, Water(lb_per_h))
    if 32 < held.temp_f < 212:
        assert lowest_outdoor(_box(), held.temp_f, Water(lb_per_h)).temp_f == pytest.approx(outdoor_f, abs=0.01)


@settings(deadline=None)
@given(st.floats(-40, 60), st.floats(0, 40))
def test_more_heat_or_milder_air_is_never_colder_inside(outdoor_f, more_f):
    assert temperature_held(_box(), outdoor_f + more_f).temp_f >= temperature_held(_box(), outdoor_f).temp_f - 1e-9
    assert temperature_held(_box(heater_w=1600), outdoor_f).temp_f >= temperature_held(_box(), outdoor_f).temp_f


def test_the_spread_comes_from_the_walls_and_the_leaks():
    rough = replace(_box(), surfaces=(Surface("walls", 200, (Layer("foam", 15, 25),), films=False),))
    held = temperature_held(replace(rough, heater_w=500), 0)
    assert held.low_f < held.temp_f < held.high_f
    assert held.reasons


def test_thin_air_at_height_leaks_less_heat():
    assert _box(elevation_ft=8000).air_btuh_f() == pytest.approx(5.4 * 0.743, rel=0.005)


def test_the_winter_chart_rises_with_the_outdoor_air():
    held = [point.held.temp_f for point in winter_chart(_box())]
    assert held == sorted(held)
    assert len(held) == 21


def test_what_stands_less_heat_than_the_kiln_is_named_worst_first():
    box = small_kiln()
    hot = over_limits(replace(box, fan_limit_f=104), 190, 70)
    assert [one.what for one in hot] == ["fan", "dehumidifier", "XPS foam board 2 in in the floor"]
    assert over_limits(box, 115, 70) == ()


def test_the_common_small_kiln_holds_what_it_is_built_for():
    """4 x 12 ft, 55° roof, two 1,500 W heaters and a dehumidifier, 400 to 800 bf of 4/4 red oak losing 2% a day: 120 °F
    to dry and 140 °F to sanitise hold at 0 °F outdoors and well below; without the dehumidifier the larger load dries
    at 120 °F only down to about 0 °F. By hand for sanitising: 3,200 W are 10,919 Btu/h, over the loss of the box."""
    roof_ft2 = float(GLAZING_FT2)
    assert roof_ft2 == pytest.approx(4 / math.cos(math.radians(55)) * 12)
    assert 800 < 10 * roof_ft2 < 850
    box = small_kiln()
    for board_feet_bf in (400, 800):
        dry, hot = promises(box, Load("oak-northern-red", board_feet_bf, 1, 30), 2.0)
        assert dry.lowest_outdoor.temp_f <= -40
        assert hot.lowest_outdoor.temp_f == pytest.approx(140 - 10_919 / box.loss_btuh_f(), abs=0.1)
        assert -60 < hot.lowest_outdoor.temp_f < -40
        assert "Sanitising at 140 °F holds down to -5" in hot.words
    bare, _ = promises(replace(box, dehumidifier=None), Load("oak-northern-red", 800, 1, 30), 2.0)
    assert -10 < bare.lowest_outdoor.temp_f < 10


def test_a_promise_names_what_gets_too_hot():
    _, hot = promises(small_kiln(), Load("oak-northern-red", 600, 1, 30), 2.0)
    assert [one.what for one in hot.too_hot] == ["dehumidifier"]


def test_vents_take_no_water_out_into_air_as_moist():
    with pytest.raises(OutsideRange, match="vents take no water"):
        vent_cfm(2.0, 70.0, 60.0, 90.0)

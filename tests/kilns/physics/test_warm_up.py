"""Warming up against a sum by hand and against scipy's solution of the same box."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kilns.physics.example_kiln import small_kiln
from kilns.physics.kiln_box import KilnBox
from kilns.physics.load_heat import Load, warming_btu
from kilns.physics.walls import Layer, Surface
from kilns.physics.warm_up import WITHIN_F, two_bodies, warm_up
from yard.wood.ranges import OutsideRange

DRY = Load("oak-northern-red", 500, 1.0, 12)
WET = Load("oak-northern-red", 500, 1.0, 70)


def _scipy(box, load, from_f, to_f, outdoor_f, hours):
    """The same two bodies by LSODA, in heat content so that ice is in it; the thermostat caps the power."""
    b = two_bodies(box, load, from_f, to_f)
    ice_from = (32.0 - from_f) * b.wood_btu_f if b.ice_btu else math.inf

    def wood_f(content):
        if content <= ice_from:
            return from_f + content / b.wood_btu_f
        return 32.0 + max(0.0, content - ice_from - b.ice_btu) / b.wood_btu_f

    def flat_out(_, state):
        to_wood = b.link_btuh_f * (state[0] - wood_f(state[1]))
        return [(b.power_btuh - b.loss_btuh_f * (state[0] - outdoor_f) - to_wood) / b.air_btu_f, to_wood]

    def held(_, state):
        return [0.0, b.link_btuh_f * (to_f - wood_f(state[1]))]

    def air_is_hot(_, state):
        return state[0] - to_f

    air_is_hot.terminal = True
    how = {"method": "LSODA", "rtol": 1e-7, "atol": 1e-6, "max_step": 0.02, "dense_output": True}
    first = solve_ivp(flat_out, (0, hours[-1]), [from_f, 0.0], events=air_is_hot, **how)
    hot_h = first.t[-1]
    then = solve_ivp(held, (hot_h, hours[-1] + 1e-6), [to_f, first.y[1, -1]], **how)
    states = np.array([first.sol(hour) if hour <= hot_h else then.sol(hour) for hour in hours])
    return states[:, 0], np.array([wood_f(one) for one in states[:, 1]])


@pytest.mark.parametrize(
    ("load", "from_f", "outdoor_f"),
    [(DRY, 60, 40), (DRY, 10, 0), (WET, 50, 30), (WET, 5, 0)],
    ids=["dry", "dry and cold", "wet", "wet and frozen"],
)
@pytest.mark.parametrize("cover", [False, True], ids=["bare glazing", "covered glazing"])
def test_air_and_wood_follow_scipys_transient_of_the_same_box(load, from_f, outdoor_f, cover):
    run = warm_up(small_kiln(cover), load, from_f, 120, outdoor_f)
    every = slice(None, None, 10)
    air, wood = _scipy(small_kiln(cover), load, from_f, 120, outdoor_f, run.hours[every])
    assert run.wood_f[every] == pytest.approx(wood, abs=0.35)
    assert run.air_f[every] == pytest.approx(air, abs=0.5)


def test_without_losses_it_takes_the_heat_over_the_power():
    """By hand: 873.6 lb of dry oak at 12%, 68 to 140 °F, 8.6 kWh; 1.5 kW need 5.7 h, and a little for the end."""
    box = KilnBox((Surface("wall", 1, (Layer("foam", 400, 400),)),), 100, 0, heater_w=1500)
    run = warm_up(box, Load("oak-northern-red", 300, 1, 12), 68, 140, 68)
    assert run.wood_at_h == pytest.approx(8.6 / 1.5, rel=0.05)
    assert run.heater_kwh == pytest.approx(8.6, rel=0.05)


def test_a_lone_box_warms_up_as_the_exponential_says():
    """An empty box by hand: air and lining 156 Btu/°F, loss L, power P: t = C/L ln(P/(P - L (T - T0)))."""
    box = replace(small_kiln(), dehumidifier=None)
    tiny = Load("oak-northern-red", 0.01, 1, 12)
    run = warm_up(box, tiny, 40, 140, 40)
    capacity, loss, power = box.air_capacity_btu_f, box.loss_btuh_f(), 3200 * 3.412142
    assert run.air_at_h == pytest.approx(capacity / loss * math.log(power / (power - loss * 100)), rel=0.03)


def test_the_bought_heat_covers_wood_and_losses():
    run = warm_up(small_kiln(), DRY, 40, 120, 40)
    least = warming_btu(DRY, 40, 118) / 3412.142
    assert least < run.heater_kwh + 0.2 * run.hours[-1]
    assert run.heater_kwh < 3.0 * run.hours[-1] + 1e-9


def test_a_kiln_too_weak_says_so_and_where_it_ends():
    run = warm_up(replace(small_kiln(), heater_w=500), DRY, 0, 140, 0)
    assert not run.reached
    assert any("does not get there" in reason for reason in run.reasons)


def test_frozen_wood_stands_still_while_its_ice_melts():
    run = warm_up(small_kiln(True), WET, 0, 120, 0)
    at_freezing = (np.abs(run.wood_f - 32.0) < 1e-6).sum() / 60
    assert at_freezing > 1.0
    assert any("frozen" in reason for reason in run.reasons)
    assert warm_up(small_kiln(True), WET, 33, 120, 0).wood_at_h < run.wood_at_h


@settings(max_examples=20, deadline=None)
@given(st.floats(0, 60), st.floats(80, 150), st.floats(100, 1200), st.floats(8, 90))
def test_nothing_gets_hotter_than_the_set_temperature_or_colder_than_it_began(from_f, to_f, board_feet_bf, mc):
    run = warm_up(small_kiln(True), Load("maple-sugar", board_feet_bf, 1.0, mc), from_f, to_f, from_f)
    assert run.air_f.max() <= to_f + 1e-6
    assert run.wood_f.max() <= to_f + 1e-6
    assert run.wood_f.min() >= from_f - 1e-6
    assert (np.diff(run.wood_f) >= -1e-6).all()
    if run.reached:
        assert run.wood_f[-1] >= to_f - WITHIN_F - 1e-6


def test_a_start_above_the_set_temperature_is_refused():
    with pytest.raises(OutsideRange, match="that warm already"):
        warm_up(small_kiln(), DRY, 150, 140, 40)

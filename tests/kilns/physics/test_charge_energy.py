"""The heat and current of a charge against sums by hand, and the usual span of kilns."""

from dataclasses import replace
from decimal import Decimal

import pytest

from kilns.physics.charge_energy import ChargePlan, charge_energy
from kilns.physics.example_kiln import small_kiln
from kilns.physics.kiln_box import KilnBox
from kilns.physics.load_heat import Load, evaporation_btu, sorption_btu_per_lb, warming_btu, water_lb
from kilns.physics.walls import Layer, Surface
from yard.wood.humid_air import humidity_ratio
from yard.wood.ranges import OutsideRange

OAK = Load("oak-northern-red", 600, 1.0, 30)
PLAN = ChargePlan(days=14, kiln_f=115, kiln_rh_pct=45, outdoor_f=40, outdoor_rh_pct=75, to_mc_pct=7, start_f=50)


def test_walls_and_leaks_are_loss_times_degree_hours():
    """By hand: 20 Btu/(h °F) of walls and 1.8 of leaks, 75 °F for 336 h: 147.7 and 13.3 kWh."""
    box = KilnBox((Surface("wall", 200, (Layer("foam", 10, 10),), films=False),), 100, 1.0, heater_w=3000)
    bill = charge_energy(box, OAK, PLAN).bill
    assert bill.walls == pytest.approx(20 * 75 * 336 / 3412.142, rel=1e-6)
    assert bill.leaks == pytest.approx(1.8 * 75 * 336 / 3412.142, rel=1e-6)


def test_vented_water_takes_the_air_that_carries_it():
    """By hand: water over the difference of the humidity ratios, 0.24 Btu/(lb °F) and its vapour, 75 °F."""
    inside, outside = humidity_ratio(115, 45), humidity_ratio(40, 75)
    air_lb = water_lb(OAK, 7) / (inside - outside)
    by_hand = air_lb * (0.240 + 0.444 * outside) * 75 / 3412.142
    assert charge_energy(small_kiln(), OAK, PLAN).bill.vents == pytest.approx(by_hand, rel=1e-6)
    assert charge_energy(small_kiln(), OAK, PLAN, condensed_share=1.0).bill.vents == 0


def test_what_is_bought_is_what_is_needed_less_what_is_given():
    bill = charge_energy(small_kiln(), OAK, PLAN, condensed_share=0.6).bill
    given = bill.from_fans + bill.from_dehumidifier + bill.from_condensing + bill.from_sun
    assert bill.heaters == pytest.approx(bill.needed_kwh - given)
    assert bill.fans == pytest.approx(0.2 * 336)
    assert bill.dehumidifier == pytest.approx(water_lb(OAK, 7) * 0.6 * 0.45359237 / 1.6)


def test_the_heat_of_a_charge_lies_in_the_span_that_kilns_take():
    """1.5 to 4 times the heat of evaporation, by equipment (AH-188 ch. 11, read)."""
    for outdoor_f in (20, 40, 60):
        bill = charge_energy(small_kiln(True), OAK, replace(PLAN, outdoor_f=outdoor_f)).bill
        assert 1.5 < bill.times_evaporation < 4.0


def test_the_interval_spans_the_days_and_costs_follow():
    energy = charge_energy(small_kiln(), OAK, PLAN, days_low=10, days_high=20)
    assert energy.low_kwh < energy.bill.bought_kwh < energy.high_kwh
    low, middle, high = energy.cost(Decimal("0.15"))
    assert low < middle < high
    assert middle == (Decimal(str(energy.bill.bought_kwh)) * Decimal("0.15")).quantize(Decimal("0.01"))


def test_sun_and_condensing_never_make_the_bill_negative():
    bill = charge_energy(small_kiln(), OAK, PLAN, sun_kwh=5000).bill
    assert bill.heaters == 0
    assert bill.bought_kwh == pytest.approx(bill.fans)


def test_air_as_moist_as_the_kilns_is_refused():
    with pytest.raises(OutsideRange, match="venting takes no water out"):
        charge_energy(small_kiln(), OAK, replace(PLAN, kiln_f=70, kiln_rh_pct=50, outdoor_f=85, outdoor_rh_pct=90))


def test_frozen_green_wood_takes_the_heat_of_its_ice():
    """By hand: 291.2 lb of dry oak, 50% of it free water, 143.4 Btu/lb."""
    green = Load("oak-northern-red", 100, 1.0, 80)
    more = warming_btu(green, 20, 60) - warming_btu(green, 32, 60) - (warming_btu(green, 20, 31.99))
    assert green.dry_lb == pytest.approx(291.2)
    assert more == pytest.approx(291.2 * 0.5 * 333.6 * 0.42992, rel=0.03)


def test_dry_wood_holds_its_last_water_harder():
    assert sorption_btu_per_lb(10, 6) > sorption_btu_per_lb(20, 16) > sorption_btu_per_lb(60, 40)
    assert evaporation_btu(OAK, 7, 115) > evaporation_btu(OAK, 8, 115)
    assert evaporation_btu(OAK, 30, 115) == 0

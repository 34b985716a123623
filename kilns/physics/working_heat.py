"""Show the working of heat: walls, what a kiln holds, warming, evaporation, energy, and the time to a hot core."""

from dataclasses import replace

from kilns.physics import charge_energy, heat_balance, heating, load_heat, warm_up
from kilns.physics.charge_energy import ChargePlan
from kilns.physics.heat_balance import NO_WATER, Water
from kilns.physics.kiln_box import KilnBox
from kilns.physics.load_heat import Load
from yard.wood.species import Species
from yard.wood.species import species as species_of
from yard.wood.working import Input, Working, work_out


def working_minutes_to_core(
    species: str | Species,
    thickness_in: float,
    width_in: float,
    mc_pct: float | None,
    start_f: float,
    medium_f: float,
    core_f: float = heating.CORE_F,
) -> Working:
    """Open up the time to a hot core. Arguments as `heating.minutes_to_core`.

    >>> 44 < working_minutes_to_core("oak-northern-red", 2, 6, None, 60, 157).result < 54
    True
    """
    wood = species_of(species)
    content = wood.green_mc_average_pct if mc_pct is None else mc_pct
    arguments = {
        "species": (wood.key, "species", ""),
        "thickness_in": (thickness_in, "thickness", "in"),
        "width_in": (width_in, "width", "in"),
        "mc_pct": (content, "moisture content", "%"),
        "start_f": (start_f, "start temperature", "°F"),
        "medium_f": (medium_f, "temperature of the medium, saturated", "°F"),
        "core_f": (core_f, "core temperature", "°F"),
    }
    formula = (
        "(Tm − T)/(Tm − T0) = X(thickness) · X(width), X(a) = 4/π Σ (−1)^n/(2n+1) exp(−(2n+1)² π² α t/a²); "
        "α = k/c, k = G (1.39 + 0.038 M) + 0.165 Btu in/(h ft² °F) (0.028 below 40%)"
    )
    notes = ("Computed times were 0.93 to 1.29 of those measured on 22 boards of Wood Handbook Table 20-4",)
    return work_out(
        "Minutes to a hot core", formula, heating.minutes_to_core, arguments, "min", "MACLEAN-1941",
        "memory high; held to Wood Handbook Table 20-4 (read)", notes,
    )  # fmt: skip


def wall_loss_btuh(box: KilnBox, inside_f: float, outdoor_f: float) -> float:
    """Return the heat that goes through all surfaces of a kiln [Btu/h]. As `heat_balance.heat_flows`.

    >>> from kilns.physics.example_kiln import small_kiln
    >>> wall_loss_btuh(small_kiln(), 120, 20) > 5000
    True
    """
    return heat_balance.heat_flows(box, inside_f, outdoor_f).walls


def held_f(box: KilnBox, outdoor_f: float, water: Water = NO_WATER, sun_btuh: float = 0.0) -> float:
    """Return the temperature of `heat_balance.temperature_held` as a bare figure [°F].

    >>> from kilns.physics.example_kiln import small_kiln
    >>> held_f(small_kiln(), 0) > 140
    True
    """
    return heat_balance.temperature_held(box, outdoor_f, water, sun_btuh).temp_f


def lowest_outdoor_f(box: KilnBox, inside_f: float, water: Water = NO_WATER, sun_btuh: float = 0.0) -> float:
    """Return the temperature of `heat_balance.lowest_outdoor` as a bare figure [°F].

    >>> from kilns.physics.example_kiln import small_kiln
    >>> lowest_outdoor_f(small_kiln(), 140) < 0
    True
    """
    return heat_balance.lowest_outdoor(box, inside_f, water, sun_btuh).temp_f


def warm_up_hours(box: KilnBox, load: Load, from_f: float, to_f: float, outdoor_f: float) -> float:
    """Return the hours until a load is warm, infinite where the kiln does not get there. As `warm_up.warm_up`.

    >>> from kilns.physics.example_kiln import small_kiln
    >>> warm_up_hours(small_kiln(), Load("oak-northern-red", 400, 1.0, 10), 60, 140, 60) > 4
    True
    """
    hours = warm_up.warm_up(box, load, from_f, to_f, outdoor_f).wood_at_h
    return float("inf") if hours is None else hours


def bought_kwh(box: KilnBox, load: Load, plan: ChargePlan, condensed_share: float = 0.0) -> float:
    """Return the current that a charge takes [kWh]. As `charge_energy.charge_energy`.

    >>> from kilns.physics.example_kiln import small_kiln
    >>> plan = ChargePlan(20, 110, 45, 30, 75, 8, 40)
    >>> bought_kwh(small_kiln(), Load("oak-northern-red", 400, 1.0, 30), plan, 1.0) > 100
    True
    """
    return charge_energy.charge_energy(box, load, plan, condensed_share=condensed_share).bill.bought_kwh


def working_wall_loss(box: KilnBox, inside_f: float, outdoor_f: float) -> Working:
    """Open up the heat that goes through the walls: one input a surface, area over R.

    >>> from kilns.physics.example_kiln import small_kiln
    >>> working_wall_loss(small_kiln(), 120, 20).inputs[0].unit
    'Btu/(h °F)'
    """
    arguments = {
        "box": (box, "kiln", ""),
        "inside_f": (inside_f, "inside", "°F"),
        "outdoor_f": (outdoor_f, "outdoors", "°F"),
    }
    opened = work_out(
        "Heat through the walls", "Σ area/R × (inside − outdoors)", wall_loss_btuh, arguments, "Btu/h", "ASHRAE-HOF"
    )
    walls = tuple(
        Input(f"{one.name}: {one.area_ft2:.0f} ft² / R {one.r_value():.1f}", round(one.ua_btuh_f(), 2), "Btu/(h °F)")
        for one in box.surfaces
    )
    return replace(opened, inputs=(*walls, *opened.inputs[1:]))


def working_held(box: KilnBox, outdoor_f: float, water: Water = NO_WATER, sun_btuh: float = 0.0) -> Working:
    """Open up the hottest that a kiln holds: every flow of heat at that temperature.

    >>> from kilns.physics.example_kiln import small_kiln
    >>> working_held(small_kiln(), 0).result == held_f(small_kiln(), 0)
    True
    """
    arguments = {
        "box": (box, "kiln", ""), "outdoor_f": (outdoor_f, "outdoors", "°F"), "water": (water, "water", ""),
        "sun_btuh": (sun_btuh, "sun", "Btu/h"),
    }  # fmt: skip
    opened = work_out("Hottest that the kiln holds", _BALANCE, held_f, arguments, "°F", "ASHRAE-HOF", None, _SPREAD)
    return replace(opened, inputs=_flows(box, opened.result, outdoor_f, water, sun_btuh))


def working_lowest_outdoor(box: KilnBox, inside_f: float, water: Water = NO_WATER, sun_btuh: float = 0.0) -> Working:
    """Open up the lowest outdoor temperature at which a kiln holds a temperature.

    >>> from kilns.physics.example_kiln import small_kiln
    >>> working_lowest_outdoor(small_kiln(), 140).result == lowest_outdoor_f(small_kiln(), 140)
    True
    """
    arguments = {
        "box": (box, "kiln", ""), "inside_f": (inside_f, "inside", "°F"), "water": (water, "water", ""),
        "sun_btuh": (sun_btuh, "sun", "Btu/h"),
    }  # fmt: skip
    opened = work_out(
        "Lowest outdoor temperature", _BALANCE, lowest_outdoor_f, arguments, "°F", "ASHRAE-HOF", None, _SPREAD
    )
    return replace(opened, inputs=_flows(box, inside_f, opened.result, water, sun_btuh))


def working_warm_up(box: KilnBox, load: Load, from_f: float, to_f: float, outdoor_f: float) -> Working:
    """Open up the hours until a load is warm. Arguments as `warm_up.warm_up`.

    >>> from kilns.physics.example_kiln import small_kiln
    >>> working_warm_up(small_kiln(), Load("oak-northern-red", 400, 1.0, 10), 60, 140, 60).unit
    'h'
    """
    arguments = {
        "box": (box, "kiln", ""), "load": (load, "load", ""), "from_f": (from_f, "start", "°F"),
        "to_f": (to_f, "set temperature", "°F"), "outdoor_f": (outdoor_f, "outdoors", "°F"),
    }  # fmt: skip
    formula = (
        "air: Ca dTa/dt = P − L (Ta − To) − K (Ta − Tw) up to the set temperature; wood: Cw dTw/dt = K (Ta − Tw); "
        "warm when the wood is within 2 °F; frozen free water melts at 32 °F first"
    )
    opened = work_out("Hours to warm up", formula, warm_up_hours, arguments, "h", "ASHRAE-HOF")
    bodies = warm_up.two_bodies(box, load, from_f, to_f)
    figures = (
        Input("P, heaters and fans", round(bodies.power_btuh), "Btu/h"),
        Input("L, loss of the box", round(bodies.loss_btuh_f, 1), "Btu/(h °F)"),
        Input("K, from air to wood", round(bodies.link_btuh_f), "Btu/(h °F)"),
        Input("Ca, air and structure", round(bodies.air_btu_f), "Btu/°F"),
        Input("Cw, wood and its water", round(bodies.wood_btu_f), "Btu/°F"),
        Input("heat to melt ice", round(bodies.ice_btu), "Btu"),
    )
    return replace(opened, inputs=(*figures, *opened.inputs[2:]))


def working_warming(load: Load, from_f: float, to_f: float) -> Working:
    """Open up the heat to warm a load. Arguments as `load_heat.warming_btu`.

    >>> round(working_warming(Load("oak-northern-red", 300, 1, 12), 68, 140).result / 3412.142, 1)
    8.6
    """
    arguments = {"load": (load, "load", ""), "from_f": (from_f, "from", "°F"), "to_f": (to_f, "to", "°F")}
    formula = "dry weight × (c0 + 4.18 M/100 + bond term) × (to − from), c0 = 0.1031 + 0.003867 T, T in K; + melting"
    opened = work_out("Heat to warm the load", formula, load_heat.warming_btu, arguments, "Btu", "WH-GTR190", "read")
    return replace(opened, inputs=(*_load(load), *opened.inputs[1:]))


def working_evaporation(load: Load, to_mc_pct: float, temp_f: float) -> Working:
    """Open up the heat to drive a load's water out. Arguments as `load_heat.evaporation_btu`.

    >>> round(working_evaporation(Load("oak-northern-red", 1000, 1, 30), 7, 113).result / 3412.142)
    212
    """
    arguments = {
        "load": (load, "load", ""), "to_mc_pct": (to_mc_pct, "moisture content to reach", "%"),
        "temp_f": (temp_f, "temperature", "°F"),
    }  # fmt: skip
    formula = "water × (2501 − 2.36 t + mean of 1176 exp(−0.15 M)) kJ/kg, t in °C"
    opened = work_out(
        "Heat to dry the load", formula, load_heat.evaporation_btu, arguments, "Btu", "STEAM-TABLES",
        "memory high; sorption memory medium-high",
    )  # fmt: skip
    return replace(opened, inputs=(*_load(load), *opened.inputs[1:]))


def working_bought_kwh(box: KilnBox, load: Load, plan: ChargePlan, condensed_share: float = 0.0) -> Working:
    """Open up the current of a charge: every part of its heat bill.

    >>> from kilns.physics.example_kiln import small_kiln
    >>> plan = ChargePlan(20, 110, 45, 30, 75, 8, 40)
    >>> working_bought_kwh(small_kiln(), Load("oak-northern-red", 400, 1.0, 30), plan, 1.0).inputs[0].name
    'through walls and glazing'
    """
    arguments = {
        "box": (box, "kiln", ""), "load": (load, "load", ""), "plan": (plan, "plan", ""),
        "condensed_share": (condensed_share, "share of the water caught", ""),
    }  # fmt: skip
    formula = "heaters + fans + dehumidifier; heaters = all heat needed − what fans, dehumidifier and sun give"
    opened = work_out("Current of the charge", formula, bought_kwh, arguments, "kWh", "ASHRAE-HOF")
    bill = charge_energy.charge_energy(box, load, plan, condensed_share=condensed_share).bill
    names = {
        "through walls and glazing": bill.walls, "leaking air": bill.leaks, "vented air": bill.vents,
        "warming load and kiln": bill.warming, "driving the water out": bill.evaporation,
        "given by fans": -bill.from_fans, "given by the dehumidifier": -bill.from_dehumidifier,
        "given back by condensing": -bill.from_condensing, "given by the sun": -bill.from_sun,
        "bought for heaters": bill.heaters, "bought for fans": bill.fans,
        "bought for the dehumidifier": bill.dehumidifier,
    }  # fmt: skip
    ratio = f"{bill.times_evaporation:.1f} times that of evaporation"
    times = f"All heat needed is {ratio}; 1.5 to 4 is usual (AH-188, read)"
    inputs = tuple(Input(name, round(kwh, 1), "kWh") for name, kwh in names.items())
    return replace(opened, inputs=inputs, notes=(*opened.notes, times))


_BALANCE = "heaters + fans + dehumidifier + sun = walls + leaking air + evaporation"
_SPREAD = ("The interval is that of the R-values, and of half to double the stated leakage",)


def _flows(box: KilnBox, inside_f: float, outdoor_f: float, water: Water, sun_btuh: float) -> tuple[Input, ...]:
    flows = heat_balance.heat_flows(box, inside_f, outdoor_f, water, sun_btuh)
    names = {
        "heaters": flows.heaters, "fans": flows.fans, "dehumidifier": flows.dehumidifier, "sun": flows.sun,
        "walls and glazing": -flows.walls, "leaking and vented air": -flows.air, "evaporation": -flows.evaporation,
    }  # fmt: skip
    temps = (Input("inside", round(inside_f, 1), "°F"), Input("outdoors", round(outdoor_f, 1), "°F"))
    return (*temps, *(Input(name, round(btuh), "Btu/h") for name, btuh in names.items()))


def _load(load: Load) -> tuple[Input, ...]:
    return (
        Input("species", load.species_key),
        Input("footage, tallied green", load.board_feet_bf, "bf"),
        Input("dry weight", round(load.dry_lb), "lb"),
        Input("moisture content", load.mc_pct, "%"),
    )

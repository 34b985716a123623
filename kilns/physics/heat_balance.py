"""What temperature a kiln holds at which outdoor temperature, and what power that takes.

Steady: heaters, fans, dehumidifier and sun on one side; walls, glazing, leaks, vents and evaporation on the other.
How long it takes to get there is in `warm_up.py`, what a whole load takes in `charge_energy.py`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from kilns.physics.dehumidifier import heat_btuh
from kilns.physics.kiln_box import BTUH_PER_W, KilnBox
from kilns.physics.load_heat import evaporation_btu_per_lb
from kilns.physics.walls import Which
from yard.wood.ranges import OutsideRange, require_range

COLDEST_F, HOTTEST_F = -60.0, 212.0
# °F: outdoor and kiln air that the balance is asked for (our own limits)
SORPTION_EXTRA = 1.05
# of the evaporation heat, wood below fibre saturation holding on: 115 of 2395 kJ/kg from 30 to 7%, 5% (WEICHERT-SKAAR)


@dataclass(frozen=True, slots=True)
class Water:
    """What happens to the water while the kiln holds its temperature [lb/h]: driven out of the wood, and caught."""

    evaporated_lb_per_h: float = 0.0
    condensed_lb_per_h: float = 0.0


NO_WATER = Water()


@dataclass(frozen=True, slots=True)
class HeldTemperature:
    """A temperature as an estimate [°F], with what the spread of R and of the leakage makes of it."""

    temp_f: float
    low_f: float
    high_f: float
    method: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HeatFlows:
    """Where the heat comes from and goes to at one state [Btu/h]; gains and losses are both above 0."""

    heaters: float
    fans: float
    dehumidifier: float
    sun: float
    walls: float
    air: float
    evaporation: float

    @property
    def gain_btuh(self) -> float:
        """All that comes in."""
        return self.heaters + self.fans + self.dehumidifier + self.sun

    @property
    def loss_btuh(self) -> float:
        """All that goes out."""
        return self.walls + self.air + self.evaporation

    @property
    def left_btuh(self) -> float:
        """What is left over; below 0 the kiln cools."""
        return self.gain_btuh - self.loss_btuh


def heat_flows(
    box: KilnBox, inside_f: float, outdoor_f: float, water: Water = NO_WATER, sun_btuh: float = 0.0,
    of: Which = "middle",
) -> HeatFlows:  # fmt: skip
    """Return every heat flow of a kiln at full heater power.

    Parameters: `inside_f` and `outdoor_f` [°F], -60 to 212; `water` driven out and condensed [lb/h]; `sun_btuh`
    through the glazing [Btu/h], 0 up; `of` which end of the R-values and leakage. Raises OutsideRange.
    Source: ASHRAE-HOF, A/R and 0.018 Btu/(ft³ °F); evaporation STEAM-TABLES with 5% for sorption.
    Check: 160 ft² of R 10, 150 °F inside and 50 outside, is 1,600 Btu/h (worked out by hand).

    >>> from kilns.physics.walls import Layer, Surface
    >>> box = KilnBox((Surface("wall", 160, (Layer("wall", 10, 10),), films=False),), 128, 0, heater_w=500)
    >>> heat_flows(box, 150, 50).walls
    1600.0
    """
    for name, temp_f in (("kiln temperature", inside_f), ("outdoor temperature", outdoor_f)):
        require_range(name, temp_f, COLDEST_F, HOTTEST_F, "°F")
    apart, evaporating = inside_f - outdoor_f, min(max(inside_f, 32.0), 212.0)
    unit, caught = box.dehumidifier, water.condensed_lb_per_h
    if caught and unit is None:
        raise OutsideRange("water condensed", caught, 0.0, 0.0, "lb/h", "The kiln has no dehumidifier")
    air_btuh_f = box.loss_btuh_f(of) - box.wall_btuh_f(of)
    return HeatFlows(
        heaters=box.heater_w * BTUH_PER_W,
        fans=box.fan_w * BTUH_PER_W,
        dehumidifier=heat_btuh(unit, caught, evaporating) if unit is not None else 0.0,
        sun=require_range("sun", sun_btuh, 0.0, 1e7, "Btu/h"),
        walls=box.wall_btuh_f(of) * apart,
        air=air_btuh_f * apart,
        evaporation=water.evaporated_lb_per_h * evaporation_btu_per_lb(evaporating) * SORPTION_EXTRA,
    )


def temperature_held(box: KilnBox, outdoor_f: float, water: Water = NO_WATER, sun_btuh: float = 0.0) -> HeldTemperature:
    """Return the hottest that a kiln holds at an outdoor temperature with all its heat on.

    Parameters: as `heat_flows`. Returns HeldTemperature [°F], 212 where it would go beyond. Raises OutsideRange.
    Source: as `heat_flows`. Check: 500 W (1,706 Btu/h) through 160 ft² of R 10 hold 106.6 °F over outdoors.

    >>> from kilns.physics.walls import Layer, Surface
    >>> box = KilnBox((Surface("wall", 160, (Layer("wall", 10, 10),), films=False),), 128, 0, heater_w=500)
    >>> round(temperature_held(box, 50).temp_f, 1)
    156.6
    """
    low, middle, high = (_held_f(box, outdoor_f, water, sun_btuh, of) for of in ("low", "middle", "high"))
    reasons = ["all heaters on all the time; the spread is that of the R-values, and of half to double the leakage"]
    if water.evaporated_lb_per_h:
        reasons.append(f"while {water.evaporated_lb_per_h:.1f} lb of water an hour leave the wood")
    return HeldTemperature(middle, low, high, "steady heat balance", tuple(reasons))


def lowest_outdoor(box: KilnBox, inside_f: float, water: Water = NO_WATER, sun_btuh: float = 0.0) -> HeldTemperature:
    """Return the lowest outdoor temperature at which a kiln holds a temperature.

    Parameters: as `heat_flows`. Returns HeldTemperature [°F] of the outdoor air, low where the box is tight; -60
    stands for "at any". Raises OutsideRange, also where the evaporation alone takes more than the heat at hand.
    Source and check: the inverse of `temperature_held`.

    >>> from kilns.physics.walls import Layer, Surface
    >>> box = KilnBox((Surface("wall", 160, (Layer("wall", 10, 10),), films=False),), 128, 0, heater_w=500)
    >>> round(lowest_outdoor(box, 156.63).temp_f)
    50
    """
    tight, middle, leaky = (_outdoor_f(box, inside_f, water, sun_btuh, of) for of in ("high", "middle", "low"))
    reasons = ("all heaters on all the time; the spread is that of the R-values, and of half to double the leakage",)
    return HeldTemperature(middle, tight, leaky, "steady heat balance", reasons)


def power_needed_w(
    box: KilnBox, inside_f: float, outdoor_f: float, water: Water = NO_WATER, sun_btuh: float = 0.0
) -> float:
    """Return the heater power that holds a temperature [W], 0 where fans, dehumidifier and sun suffice.

    Parameters, errors and source: as `heat_flows`.

    >>> from kilns.physics.walls import Layer, Surface
    >>> box = KilnBox((Surface("wall", 160, (Layer("wall", 10, 10),), films=False),), 128, 0)
    >>> round(power_needed_w(box, 150, 50))
    469
    """
    flows = heat_flows(box, inside_f, outdoor_f, water, sun_btuh)
    return max(0.0, flows.loss_btuh - (flows.gain_btuh - flows.heaters)) / BTUH_PER_W


@dataclass(frozen=True, slots=True)
class WinterPoint:
    """One point of the winter chart: the outdoor temperature and what the kiln holds then."""

    outdoor_f: float
    held: HeldTemperature


def winter_chart(
    box: KilnBox, outdoor_fs: Sequence[float] = tuple(range(-30, 71, 5)), water: Water = NO_WATER
) -> tuple[WinterPoint, ...]:
    """Return what a kiln holds over a row of outdoor temperatures [°F]. Errors and source: as `temperature_held`.

    >>> from kilns.physics.walls import Layer, Surface
    >>> box = KilnBox((Surface("wall", 160, (Layer("wall", 10, 10),), films=False),), 128, 0, heater_w=500)
    >>> [round(point.held.temp_f) for point in winter_chart(box, (0, 50))]
    [107, 157]
    """
    return tuple(WinterPoint(outdoor, temperature_held(box, outdoor, water)) for outdoor in outdoor_fs)


def _held_f(box: KilnBox, outdoor_f: float, water: Water, sun_btuh: float, of: Which) -> float:
    """Newton's steps: the balance is a straight line but for the heat of evaporation, which hardly bends it."""
    slope, temp_f = box.loss_btuh_f(of), outdoor_f
    for _ in range(12):
        left = heat_flows(box, temp_f, outdoor_f, water, sun_btuh, of).left_btuh
        moved = min(HOTTEST_F, max(COLDEST_F, temp_f + left / slope))
        if abs(moved - temp_f) < 1e-6:
            break
        temp_f = moved
    return temp_f


def _outdoor_f(box: KilnBox, inside_f: float, water: Water, sun_btuh: float, of: Which) -> float:
    flows = heat_flows(box, inside_f, inside_f, water, sun_btuh, of)
    if flows.left_btuh < 0.0:
        hint = "The water alone takes more heat than there is: dry slower, or add heat"
        raise OutsideRange("heat left over", flows.left_btuh, 0.0, None, "Btu/h", hint)
    return max(COLDEST_F, inside_f - flows.left_btuh / box.loss_btuh_f(of))

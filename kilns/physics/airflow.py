"""Air through the stack: what it needs, what the fans give at their static pressure, and what speed comes of it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from kilns.physics.tables import table
from yard.wood.ranges import OutsideRange, require_range
from yard.wood.stacking import air_flow_cfm

VELOCITY_PRESSURE_FPM = 4005.0
# ft/min of standard air whose velocity pressure is 1 in of water (FAN-LAWS, memory high)
MOST_STATIC_IN = 10.0
# in of water: more than any kiln fan works against (our own limit)


@dataclass(frozen=True, slots=True)
class SpeedAdvice:
    """Usual air speeds through the stack [ft/min] for a kind of kiln or wood."""

    key: str
    kiln: str
    low_fpm: float
    high_fpm: float
    note: str
    source_key: str
    provenance: str

    def says(self, speed_fpm: float) -> str:
        """Return "slow", "usual" or "fast" for a speed.

        >>> speed_advice("steam-hardwood").says(120), speed_advice("steam-hardwood").says(300)
        ('slow', 'usual')
        """
        require_range("air speed", speed_fpm, 0.0, 5000.0, "ft/min")
        return "slow" if speed_fpm < self.low_fpm else "fast" if speed_fpm > self.high_fpm else "usual"


@cache
def speed_advices() -> tuple[SpeedAdvice, ...]:
    """The published speeds, row by row of data/airflow_speeds.csv, each with its source.

    >>> [one.key for one in speed_advices()][-2:]
    ['walnut-8-4', 'white-pine']
    """
    return tuple(
        SpeedAdvice(
            row["key"], row["kiln"], float(row["low_fpm"]), float(row["high_fpm"]), row["note"],
            row["source_key"], row["provenance"],
        )
        for row in table("airflow_speeds.csv")
    )  # fmt: skip


def speed_advice(key: str) -> SpeedAdvice:
    """Return one row by its key; a key that is not in the table is a KeyError that names those that are.

    >>> speed_advice("solar").high_fpm
    150.0
    """
    for one in speed_advices():
        if one.key == key:
            return one
    raise KeyError(f"no air speed for {key!r}; there are {', '.join(one.key for one in speed_advices())}")


def air_needed_cfm(open_area_ft2: float, speed_fpm: float) -> float:
    """Return the air that the fans must move for a speed through the stack.

    Parameters: `open_area_ft2` of the gaps between the courses (`yard.wood.stacking.open_air_area_ft2`) [ft²];
    `speed_fpm` [ft/min]. Returns [ft³/min]; baffles must close every way round the stack. Raises OutsideRange.
    Source: continuity. Check: 16 ft² at 250 ft/min is 4,000 ft³/min.

    >>> air_needed_cfm(16.0, 250.0)
    4000.0
    """
    return air_flow_cfm(open_area_ft2, speed_fpm)


def speed_fpm(air_cfm: float, open_area_ft2: float, bypass_share: float = 0.0) -> float:
    """Return the speed through the stack that an air volume gives.

    Parameters: `air_cfm` [ft³/min], 0 to 1e6; `open_area_ft2` [ft²], above 0; `bypass_share` of the air that slips
    round the stack, 0 to 0.95 (none with good baffles). Returns [ft/min]. Raises OutsideRange.
    Source: continuity. Check: 4,000 ft³/min through 16 ft² is 250 ft/min.

    >>> speed_fpm(4000.0, 16.0), speed_fpm(4000.0, 16.0, 0.2)
    (250.0, 200.0)
    """
    require_range("air volume", air_cfm, 0.0, 1e6, "ft³/min")
    require_range("open area", open_area_ft2, 0.001, 10_000.0, "ft²")
    require_range("share that slips round the stack", bypass_share, 0.0, 0.95)
    return air_cfm * (1.0 - bypass_share) / open_area_ft2


@dataclass(frozen=True, slots=True)
class FanCurve:
    """A fan's published points: static pressure [in of water] against air volume [ft³/min], straight between them."""

    static_in: tuple[float, ...]
    air_cfm: tuple[float, ...]

    def cfm_at(self, static_in: float) -> float:
        """Return the air volume at a static pressure [ft³/min]; none beyond the last point's pressure is offered.

        Raises OutsideRange outside the published points.

        >>> FanCurve((0.0, 0.1, 0.2), (2000.0, 1700.0, 1200.0)).cfm_at(0.15)
        1450.0
        """
        low, high = self.static_in[0], self.static_in[-1]
        require_range("static pressure", static_in, low, high, "in of water", "The fan's curve ends there")
        for place in range(1, len(self.static_in)):
            if static_in <= self.static_in[place]:
                before, after = self.static_in[place - 1], self.static_in[place]
                share = (static_in - before) / (after - before)
                return self.air_cfm[place - 1] + share * (self.air_cfm[place] - self.air_cfm[place - 1])
        return self.air_cfm[-1]


def fan_curve(points: Sequence[tuple[float, float]]) -> FanCurve:
    """Return a FanCurve from points of (static pressure [in of water], air volume [ft³/min]) in any order.

    Raises OutsideRange for fewer than two points, two at one pressure, or air that grows with pressure.

    >>> fan_curve([(0.1, 1700.0), (0.0, 2000.0)]).static_in
    (0.0, 0.1)
    """
    ordered = sorted(points)
    if len(ordered) < 2:
        raise OutsideRange("points of the fan curve", len(ordered), 2, None, "", "Give two or more")
    for pressure, air in ordered:
        require_range("static pressure", pressure, 0.0, MOST_STATIC_IN, "in of water")
        require_range("air volume", air, 0.0, 1e6, "ft³/min")
    for (before_in, before_cfm), (after_in, after_cfm) in pairwise(ordered):
        require_range("pressure between two points", after_in - before_in, 1e-6, MOST_STATIC_IN, "in of water")
        hint = "A fan gives less air against more pressure: check the points"
        require_range("air volume", after_cfm, 0.0, before_cfm, "ft³/min", hint)
    return FanCurve(tuple(one for one, _ in ordered), tuple(one for _, one in ordered))


@dataclass(frozen=True, slots=True)
class WorkingPoint:
    """Where fans and kiln meet: static pressure [in of water], all the fans' air [ft³/min], speed in the stack."""

    static_in: float
    air_cfm: float
    speed_fpm: float


def working_point(
    curve: FanCurve, fan_count: int, open_area_ft2: float, losses: float = 3.0, bypass_share: float = 0.0
) -> WorkingPoint:
    """Return the air that fans move through a stack: where their curve meets the kiln's resistance.

    Parameters: `curve` of one fan; `fan_count` side by side, 1 to 100; `open_area_ft2` [ft²]; `losses` velocity
    pressures lost on the way round, 0.5 to 50 (turns, entry to and exit from the stack: 3 is common practice, no
    source); `bypass_share` as `speed_fpm`. Raises OutsideRange, also where the fans' curve ends before they meet.
    Source: FAN-LAWS, pressure grows with the square of speed: losses x (V/4005)².

    >>> fan = fan_curve([(0.0, 2000.0), (0.1, 1700.0), (0.3, 0.0)])
    >>> point = working_point(fan, 2, 16.0)
    >>> round(3 * (point.speed_fpm / 4005) ** 2 - point.static_in, 6)
    0.0
    """
    require_range("fans", fan_count, 1, 100)
    require_range("losses", losses, 0.5, 50.0, "velocity pressures")
    low, high = curve.static_in[0], curve.static_in[-1]

    def asked(static_in: float) -> float:
        speed = speed_fpm(fan_count * curve.cfm_at(static_in), open_area_ft2, bypass_share)
        return losses * velocity_pressure_in(speed)

    if asked(high) > high:
        hint = "The stack resists more than the curve covers: fewer losses, more area, or another fan"
        raise OutsideRange("static pressure", asked(high), low, high, "in of water", hint)
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if asked(middle) > middle else (low, middle)
    air = fan_count * curve.cfm_at(high)
    return WorkingPoint(high, air, speed_fpm(air, open_area_ft2, bypass_share))


def velocity_pressure_in(speed_fpm: float) -> float:
    """Return the velocity pressure of standard air [in of water] at a speed [ft/min]. Raises OutsideRange.

    Source: FAN-LAWS, (V/4005)². Check: 1 in at 4,005 ft/min.

    >>> velocity_pressure_in(4005.0)
    1.0
    """
    require_range("air speed", speed_fpm, 0.0, 20_000.0, "ft/min")
    return (speed_fpm / VELOCITY_PRESSURE_FPM) ** 2


def fan_speed_share(speed_share: float) -> tuple[float, float]:
    """Return what slowing a fan to a share of its speed leaves of its air and of its power.

    Parameters: `speed_share` 0 to 1.5. Raises OutsideRange. Source: FAN-LAWS, air with the speed, power with its
    cube. Check: half speed is half the air for an eighth of the power.

    >>> fan_speed_share(0.5)
    (0.5, 0.125)
    """
    require_range("share of the fan's speed", speed_share, 0.0, 1.5)
    return speed_share, math.pow(speed_share, 3)

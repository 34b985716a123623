"""Sun on a tilted collector by month, the best tilt, and what comes through the glazing.

    tilted = monthly_radiation(45.0, 55.0, global_wh_m2=month_by_month)
    best_tilt_deg(45.0, global_wh_m2, months=(11, 12, 1, 2, 3))

Monthly radiation on the flat comes from `solar_places.py` (interpolated between measured places, and rough), or
from a weather file by `sun_file.py`.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from kilns.physics.sun_geometry import AVERAGE_DAYS, DAYS_IN_MONTH, SunDay, cos_incidence, cos_zenith, sun_day
from yard.wood.ranges import OutsideRange, require_range

Sky = Literal["hay-davies", "isotropic"]

GROUND_REFLECTS = 0.2
# of the light, bare ground (LIU-JORDAN-1960, memory high); fresh snow about 0.7
HOUR_STEPS = 48
# steps of a day in the sums (our choice: within 0.1%)
M2_PER_FT2 = 0.09290304
BTU_PER_WH = 3.412142
BOARD_FEET_PER_FT2 = 10.0
# bf of 4/4 a square foot of collector, at most (WENGERT-MEYER, read)
WINTER_STEEPER_DEG = 10.0
# ° over the latitude for winter (WENGERT-MEYER, read)
BLACK_TAKES = 0.92
# of the light, flat black paint, heat left behind the glazing (common practice, no source)
LEAST_DIFFUSE = 0.2
# of a month's radiation: no month is all beam (our own limit)
CLEAREST = 0.82
# of the radiation above the air: more in a month is an error of the figures (our own limit)


@dataclass(frozen=True, slots=True)
class MonthSun:
    """One month's daily mean on the flat and on the collector [Wh/m² a day]."""

    month: int
    global_wh_m2: float
    diffuse_wh_m2: float
    tilted_wh_m2: float

    @property
    def tilted_btu_ft2(self) -> float:
        """On the collector [Btu/ft² a day]."""
        return self.tilted_wh_m2 * M2_PER_FT2 * BTU_PER_WH


def diffuse_wh_m2(lat_deg: float, month: int, global_wh_m2: float) -> float:
    """Return how much of a month's radiation comes from the whole sky instead of the sun.

    Parameters: `lat_deg` -66 to 66; `month` 1 to 12; `global_wh_m2` daily mean on the flat [Wh/m²], 0 to 82% of that
    above the air. Returns [Wh/m² a day]. Raises OutsideRange.
    Source: PAGE-1964, 1.00 - 1.13 K of the whole, K the clearness (from memory, high); at least a fifth of it. Of
    three published relations the one nearest to typical-year files at hand in winter.
    Check: at 43° N in June 23 MJ/m² is a clearness of 0.55, by hand 0.38 of it diffuse.

    >>> round(diffuse_wh_m2(43, 6, 23 / 0.0036) / (23 / 0.0036), 2)
    0.38
    """
    clear = _clearness(_month_day(lat_deg, month), global_wh_m2)
    return global_wh_m2 * min(1.0, max(LEAST_DIFFUSE, 1.0 - 1.13 * clear))


def monthly_radiation(
    lat_deg: float,
    tilt_deg: float,
    global_wh_m2: Sequence[float],
    azimuth_deg: float = 0.0,
    *,
    diffuse: Sequence[float] | None = None,
    ground: float | Sequence[float] = GROUND_REFLECTS,
    sky: Sky = "hay-davies",
) -> tuple[MonthSun, ...]:
    """Return the radiation on a tilted collector, month by month.

    Parameters: `lat_deg` -66 to 66; `tilt_deg` from flat, 0 to 90; `global_wh_m2` twelve daily means on the flat
    [Wh/m²]; `azimuth_deg` 0 due south, east negative, -180 to 180; `diffuse` twelve daily means of diffuse radiation
    where measured [Wh/m²]; `ground` share reflected, one or twelve, 0 to 1; `sky` "hay-davies" or "isotropic". Returns
    twelve MonthSuns. Raises OutsideRange.
    Source: average days KLEIN-1977; hours RABL-1979 and LIU-JORDAN-1960; sky HAY-DAVIES-1980; diffuse PAGE-1964.
    Held to pvlib by the tests: within 5% from the same monthly figures, up to 55° of tilt. Against sums over real hours
    at Chicago a month is within 5% with measured diffuse, 12% without it, the year within 3%; a winter month was 9%
    high at Mount Shasta and 16% at Northway (63° N). `sun_file.monthly_of_hours` does better where there is a file.

    >>> flat = [1803, 2756, 3586, 4472, 5947, 6389, 6272, 5639, 4056, 2911, 1772, 1594]
    >>> round(monthly_radiation(43, 0, flat)[0].tilted_wh_m2)
    1803
    """
    require_range("tilt", tilt_deg, 0.0, 90.0, "°")
    require_range("azimuth", azimuth_deg, -180.0, 180.0, "°")
    _require_twelve(global_wh_m2)
    grounds = [ground] * 12 if isinstance(ground, int | float) else list(ground)
    _require_twelve(grounds)
    found = []
    for place, flat in enumerate(global_wh_m2):
        day = _month_day(lat_deg, place + 1)
        scattered = diffuse_wh_m2(lat_deg, place + 1, flat) if diffuse is None else diffuse[place]
        require_range("diffuse radiation", scattered, 0.0, flat + 1e-9, "Wh/m²")
        require_range("ground reflection", grounds[place], 0.0, 1.0)
        on_tilt = _tilted(day, flat, scattered, tilt_deg, azimuth_deg, grounds[place], sky)
        found.append(MonthSun(place + 1, flat, scattered, on_tilt))
    return tuple(found)


def best_tilt_deg(
    lat_deg: float, global_wh_m2: Sequence[float], months: Sequence[int] = tuple(range(1, 13)),
    *, diffuse: Sequence[float] | None = None, ground: float | Sequence[float] = GROUND_REFLECTS,
) -> int:  # fmt: skip
    """Return the tilt that gathers most over the months a kiln is used, to the whole degree, facing the equator.

    Parameters: as `monthly_radiation`; `months` 1 to 12 that count. Raises OutsideRange.
    Source: `monthly_radiation` at every degree. Common practice for comparison: latitude, +10° for winter
    (WENGERT-MEYER, read).

    >>> best_tilt_deg(45, [1700, 2500, 3600, 4700, 5600, 6200, 6100, 5200, 4000, 2600, 1600, 1300], (11, 12, 1, 2)) > 55
    True
    """
    facing = 0.0 if lat_deg >= 0 else 180.0

    def year_at(tilt_deg: float) -> tuple[MonthSun, ...]:
        return monthly_radiation(lat_deg, tilt_deg, global_wh_m2, facing, diffuse=diffuse, ground=ground)

    return most_over_months(year_at, months)


def most_over_months(year_at: Callable[[float], Sequence[MonthSun]], months: Sequence[int]) -> int:
    """Return the whole degree of tilt, 0 to 90, at which a year's chosen months gather most.

    Parameters: `year_at` the twelve MonthSuns of a tilt [°]; `months` 1 to 12. Raises OutsideRange.
    """
    if not months:
        raise OutsideRange("months used", 0, 1, 12, "", "Name the months")
    for month in months:
        require_range("month", month, 1, 12)

    def gathered(tilt: int) -> float:
        year = year_at(float(tilt))
        return math.fsum(year[month - 1].tilted_wh_m2 * DAYS_IN_MONTH[month - 1] for month in months)

    best = 45
    for step in (15, 4, 1):  # the sum has one hump
        near = range(max(0, best - 3 * step), min(90, best + 3 * step) + 1, step)
        best = max(near, key=gathered)
    return best


def usual_tilt_deg(lat_deg: float, winter: bool = False) -> float:
    """Return the tilt of common practice: the latitude, 10° steeper for winter.

    Source: WENGERT-MEYER (read). Check: 45° serves 42.5 to 47° N, 55° in winter.

    >>> usual_tilt_deg(45.0), usual_tilt_deg(45.0, winter=True)
    (45.0, 55.0)
    """
    require_range("latitude", lat_deg, -66.0, 66.0, "°")
    return abs(lat_deg) + (WINTER_STEEPER_DEG if winter else 0.0)


@dataclass(frozen=True, slots=True)
class CollectorGain:
    """A month's sun behind the glazing: Btu a day, and the water it could drive out at 1,000 Btu a pound."""

    month: int
    btu_per_day: float

    @property
    def kwh_per_day(self) -> float:
        """The same in kWh a day."""
        return self.btu_per_day / (1000.0 * BTU_PER_WH)

    @property
    def water_lb_per_day(self) -> float:
        """At most so much water a day, all losses left out (WENGERT-OLIVEIRA, read: 1,000 Btu a pound)."""
        return self.btu_per_day / 1000.0


def collector_gain(year: Sequence[MonthSun], glazing_ft2: float, light_share: float = 0.8) -> tuple[CollectorGain, ...]:
    """Return the heat that a collector lets in and takes up, month by month.

    Parameters: `year` of `monthly_radiation`; `glazing_ft2` [ft²], 0 to 10,000; `light_share` that the glazing lets
    through, 0 to 1 (about 0.8 through twin-wall, GLAZING-TABLES). What the glazing loses again is in the heat
    balance. Raises OutsideRange. Source: DUFFIE-BECKMAN; 92% taken up by flat black (common practice, no source).
    Check: 100 ft² at 1,000 Btu/ft² and 80%: 73,600 Btu.

    >>> sun = MonthSun(1, 0.0, 0.0, 1000 / (0.09290304 * 3.412142))
    >>> round(collector_gain([sun], 100.0)[0].btu_per_day)
    73600
    """
    require_range("glazing", glazing_ft2, 0.0, 10_000.0, "ft²")
    require_range("light let through", light_share, 0.0, 1.0)
    share = light_share * BLACK_TAKES * glazing_ft2
    return tuple(CollectorGain(one.month, one.tilted_btu_ft2 * share) for one in year)


@dataclass(frozen=True, slots=True)
class CollectorLoad:
    """A load against the collector: footage a square foot, and the most that is advised."""

    bf_per_ft2: float
    most_bf: float
    over: bool


def collector_load(board_feet_bf: float, glazing_ft2: float) -> CollectorLoad:
    """Return whether a collector is large enough for a load of 4/4: at most 10 bf a square foot.

    Parameters: `board_feet_bf` [bf], 0 to 1e6; `glazing_ft2` [ft²], 1 to 10,000. Raises OutsideRange.
    Source: WENGERT-MEYER (read); thicker stock may have more, since its safe rate is lower: 600 bf of 8/4 in the
    kiln for 450 (read). Check: 45 ft² take 450 bf.

    >>> collector_load(450, 45).over, collector_load(460, 45).over
    (False, True)
    """
    require_range("footage", board_feet_bf, 0.0, 1e6, "bf")
    require_range("glazing", glazing_ft2, 1.0, 10_000.0, "ft²")
    most = BOARD_FEET_PER_FT2 * glazing_ft2
    return CollectorLoad(board_feet_bf / glazing_ft2, most, board_feet_bf > most)


def _month_day(lat_deg: float, month: int) -> SunDay:
    require_range("month", month, 1, 12)
    return sun_day(lat_deg, AVERAGE_DAYS[month - 1])


def _clearness(day: SunDay, global_wh_m2: float) -> float:
    most = CLEAREST * day.above_air_wh_m2
    hint = "No air is that clear: check unit and month"
    require_range("radiation on the flat", global_wh_m2, 0.0, most, "Wh/m² a day", hint)
    return global_wh_m2 / day.above_air_wh_m2


def _require_twelve(values: Sequence[float]) -> None:
    if len(values) != 12:
        raise OutsideRange("number of months", len(values), 12, 12, "", "January to December")


def _tilted(
    day: SunDay, flat: float, scattered: float, tilt_deg: float, azimuth_deg: float, ground: float, sky: Sky
) -> float:
    """The sum over the day of beam, sky and ground on the collector [Wh/m²]."""
    _clearness(day, flat)
    tilt = math.radians(tilt_deg)
    up, down = (1.0 + math.cos(tilt)) / 2.0, (1.0 - math.cos(tilt)) / 2.0
    width = 2.0 * day.sunset / HOUR_STEPS
    angles = [-day.sunset + width * (step + 0.5) for step in range(HOUR_STEPS)]
    overhead = [cos_zenith(day, angle) for angle in angles]
    whole = math.fsum(overhead)
    a, b = _rabl(day.sunset)
    shape = [(a + b * math.cos(angle)) * high for angle, high in zip(angles, overhead, strict=True)]
    day_shape = math.fsum(shape)
    above_h = day.above_air_wh_m2 / whole  # Wh/m² of one step with the sun overhead
    total = 0.0
    for angle, high, part in zip(angles, overhead, shape, strict=True):
        everything = flat * part / day_shape
        diffuse = min(scattered * high / whole, everything)
        beam = everything - diffuse
        above = above_h * high
        round_sun = min(1.0, beam / above) if above > 0.0 and sky == "hay-davies" else 0.0
        facing = max(0.0, cos_incidence(day, angle, tilt_deg, azimuth_deg)) / max(high, 0.0175)
        total += (beam + diffuse * round_sun) * facing + diffuse * (1.0 - round_sun) * up + everything * ground * down
    return total


def _rabl(sunset: float) -> tuple[float, float]:
    """The two coefficients of the hourly shape (RABL-1979)."""
    return 0.409 + 0.5016 * math.sin(sunset - math.pi / 3), 0.6609 - 0.4767 * math.sin(sunset - math.pi / 3)

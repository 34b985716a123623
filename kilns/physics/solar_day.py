"""A day in a solar kiln as it is: warm and dry by day, cool and moist at night."""

import math
from dataclasses import dataclass
from typing import Literal

from kilns.physics.schedules import HOTTEST_F, Step
from yard.wood.humid_air import saturation_pressure_psi
from yard.wood.moisture import equilibrium_mc_pct, rh_pct_at_emc
from yard.wood.ranges import require_range

USUAL_RISE_F = 25.0
# °F over the outdoor high on a sunny day, middle of 20 to 30 (WVU-DR-1, read)
MOISTEST_PCT = 95.0
# %: where the night air is held by the wood and by drip on the glazing (our own figure)
HOTTEST_HOUR = 14
# hour of the day, clock time (common practice, no source)


@dataclass(frozen=True, slots=True)
class SolarHour:
    """The air of one hour of the day."""

    hour: int
    dry_bulb_f: float
    rh_pct: float
    emc_pct: float


@dataclass(frozen=True, slots=True)
class SolarDay:
    """Twenty-four hours in a solar kiln, and the EMC that they amount to.

    `emc_pct` is taken of the mean temperature and mean humidity, as for outdoor air; `day_emc_pct` is that of
    the driest hour and `night_emc_pct` that of the moistest.
    """

    hours: tuple[SolarHour, ...]

    @property
    def mean_dry_bulb_f(self) -> float:
        """Mean dry bulb [°F]."""
        return math.fsum(hour.dry_bulb_f for hour in self.hours) / len(self.hours)

    @property
    def mean_rh_pct(self) -> float:
        """Mean relative humidity [%]."""
        return math.fsum(hour.rh_pct for hour in self.hours) / len(self.hours)

    @property
    def emc_pct(self) -> float:
        """The EMC of the day's mean air [%]."""
        return equilibrium_mc_pct(self.mean_dry_bulb_f, self.mean_rh_pct)

    @property
    def day_emc_pct(self) -> float:
        """The EMC of the driest hour [%]."""
        return min(hour.emc_pct for hour in self.hours)

    @property
    def night_emc_pct(self) -> float:
        """The EMC of the moistest hour [%]."""
        return max(hour.emc_pct for hour in self.hours)


HoldBy = Literal["hottest hour", "mean of the day"]


def solar_day(
    step: Step,
    outdoor_low_f: float,
    outdoor_high_f: float,
    rise_f: float = USUAL_RISE_F,
    hold_by: HoldBy = "hottest hour",
) -> SolarDay:
    """Return a sunny day of a solar kiln that is vented to keep the step's EMC.

    Parameters: `step` the step due; `outdoor_low_f` [°F], -40 to the high; `outdoor_high_f` [°F], to 110;
    `rise_f` [°F] over the outdoor air at the hottest hour, 0 to 80; `hold_by` whether the hottest hour has the step's
    EMC (gentle: no hour is drier than the step, nights are far moister) or the mean of the day (as most are run: noon
    is drier than the step, night makes up for it). The kiln gets no hotter than the step. The water in its air is
    taken as even over the day (our own simplification), and no less than the outdoor air's, whose dew point is taken
    as the night's low (common practice): as it cools, its humidity rises, to 95% at most. Returns SolarDay. Raises
    OutsideRange.
    Source: rise 20 to 30 °F WVU-DR-1 (read); moist nights WENGERT-MEYER; holding the EMC is the rule of
    `capped_schedules` (inferred); WH-GTR190 Eq. 4-5. Hours above the safe rate harm even where the day's mean does
    not (WENGERT-QA, read).

    >>> from kilns.physics.schedules import assemble
    >>> day = solar_day(assemble("T4-D2").step_at(28), 50, 75)
    >>> day.day_emc_pct < day.emc_pct < day.night_emc_pct
    True
    """
    require_range("outdoor high", outdoor_high_f, -40.0, 110.0, "°F")
    require_range("outdoor low", outdoor_low_f, -40.0, outdoor_high_f, "°F")
    require_range("rise over the outdoor air", rise_f, 0.0, 80.0, "°F")
    warm = [_inside_f(hour, outdoor_low_f, outdoor_high_f, rise_f, step.dry_bulb_f) for hour in range(24)]
    outdoor_psi = saturation_pressure_psi(outdoor_low_f)
    if hold_by == "hottest hour":
        return _day(warm, step.emc_pct, outdoor_psi)
    low, high = 0.0, equilibrium_mc_pct(max(warm), MOISTEST_PCT)
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _day(warm, middle, outdoor_psi).emc_pct < step.emc_pct else (low, middle)
    return _day(warm, high, outdoor_psi)


def _day(warm: list[float], hottest_emc_pct: float, outdoor_psi: float) -> SolarDay:
    """The day whose hottest hour has an EMC, or the driest that vents make of the outdoor air."""
    hottest = max(warm)
    wanted = saturation_pressure_psi(hottest) * _rh_for(hottest, hottest_emc_pct) / 100.0
    vapour = max(wanted, outdoor_psi)
    return SolarDay(tuple(_hour(hour, temp_f, vapour) for hour, temp_f in enumerate(warm)))


def _rh_for(temp_f: float, emc_pct: float) -> float:
    most = equilibrium_mc_pct(temp_f, MOISTEST_PCT)
    return rh_pct_at_emc(temp_f, min(emc_pct, most))


def _inside_f(hour: int, low_f: float, high_f: float, rise_f: float, cap_f: float) -> float:
    """A sine between the outdoor low before sunrise and the high after noon, and the sun's rise between 7 and 19."""
    outdoor = (low_f + high_f) / 2 + (high_f - low_f) / 2 * math.cos((hour - HOTTEST_HOUR) * math.pi / 12)
    sun = max(0.0, math.cos((hour - HOTTEST_HOUR + 1) * math.pi / 12))
    return min(outdoor + rise_f * sun, max(cap_f, outdoor), HOTTEST_F)


def _hour(hour: int, temp_f: float, vapour_psi: float) -> SolarHour:
    humidity = min(MOISTEST_PCT, 100.0 * vapour_psi / saturation_pressure_psi(temp_f))
    return SolarHour(hour, temp_f, humidity, equilibrium_mc_pct(temp_f, humidity))

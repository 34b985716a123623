"""The kiln's own air for the drying model: as its sensors measured it, as a schedule asks, as a sunny day gives it."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kilns.physics.schedules import Step
from kilns.physics.solar_day import HoldBy, solar_day
from yard.wood.air_history import Air, air
from yard.wood.drying import air_from_humidity
from yard.wood.ranges import OutsideRange, require_range

Floats = NDArray[np.float64]

DayAir = Callable[[Step, int], Air]
# the air of one day of a run: from the step due and the number of the day, 0 first

HOUR_MIN = 60.0
FANS_BY_DAY_BELOW_PCT, FANS_OVER_LOW_F = 20.0, 18.0
# % MC, and °F over the morning low: drier wood takes water up again when fans run at night (WENGERT-OLIVEIRA, read)
LONGEST_GAP_H = 12.0
# h without a reading that may be bridged by a straight line (our own limit)


@dataclass(frozen=True, eq=False)
class HourlyAir:
    """Readings brought to whole hours: the air for the drying model, and how many hours had no reading."""

    air: Air
    dry_bulb_f: Floats
    rh_pct: Floats
    bridged_h: int


def hourly_air(minutes: ArrayLike, dry_bulb_f: ArrayLike, rh_pct: ArrayLike) -> HourlyAir:
    """Return a kiln's measured air by the hour: temperature and humidity averaged first, the EMC taken of the means.

    Parameters: `minutes` of the readings from any start, rising; `dry_bulb_f` [°F]; `rh_pct` [%]. Hours without a
    reading are bridged by a straight line, up to 12 in a row. Returns HourlyAir from the first hour on. Raises
    OutsideRange, for a longer gap with the advice to split the run there.
    Source: WH-GTR190 Eq. 4-5 of the means (`yard.wood.drying.air_from_humidity`).

    >>> two = hourly_air([0, 30, 60, 90], [100, 102, 110, 112], [60, 60, 50, 50])
    >>> two.dry_bulb_f.tolist(), len(two.air), two.bridged_h
    ([101.0, 111.0], 2, 0)
    """
    when, dry, humid = (np.atleast_1d(np.asarray(one, dtype=np.float64)) for one in (minutes, dry_bulb_f, rh_pct))
    if not len(when) or not len(when) == len(dry) == len(humid):
        raise OutsideRange("number of readings", min(len(dry), len(humid)), len(when), len(when), "", "One each time")
    if len(when) > 1:
        require_range("minutes between readings", float(np.diff(when).min()), 1e-9, None, "min", "Sort them by time")
    hour = ((when - when[0]) // HOUR_MIN).astype(np.int64)
    counts = np.bincount(hour)
    full = np.flatnonzero(counts)
    if len(full) > 1 and float(np.diff(full).max()) - 1 > LONGEST_GAP_H:
        gap = float(np.diff(full).max()) - 1
        raise OutsideRange("hours without a reading", gap, 0.0, LONGEST_GAP_H, "h", "Split the run there")
    every = np.arange(len(counts))
    temps, humidities = (
        np.interp(every, full, np.bincount(hour, weights=values)[full] / counts[full]) for values in (dry, humid)
    )
    made = air_from_humidity(temps, humidities, step_days=1.0 / 24.0)
    return HourlyAir(made, temps, humidities, int((counts == 0).sum()))


def steady_day(step: Step, day: int) -> Air:
    """Return a day at a step's own temperature and EMC, as heated kilns hold them.

    >>> from kilns.physics.schedules import assemble
    >>> steady_day(assemble("T4-D2").steps[0], 0).temp_f.tolist()
    [110.0]
    """
    return air([step.dry_bulb_f], emc_pct=step.emc_pct, step_days=1.0)


def sunny_days(
    outdoor_low_f: float, outdoor_high_f: float, rise_f: float, hold_by: HoldBy = "mean of the day"
) -> DayAir:
    """Return the air of a solar kiln's days, all alike: warm by day, moist at night (`solar_day`).

    Parameters: as `solar_day.solar_day`. In the steps from 20% MC down the fans, and with them the drying, rest while
    the kiln is less than 18 °F over the morning low. Overcast days are not in it: count sunny days.
    Source: WENGERT-OLIVEIRA for the fans (read).

    >>> from kilns.physics.schedules import assemble
    >>> day = sunny_days(50.0, 75.0, 25.0)(assemble("T4-D2").step_at(28), 0)
    >>> len(day), round(day.days, 6)
    (24, 1.0)
    """

    made: dict[Step, Air] = {}

    def day_air(step: Step, day: int) -> Air:
        if step not in made:
            hours = solar_day(step, outdoor_low_f, outdoor_high_f, rise_f, hold_by).hours
            if step.mc_from_pct <= FANS_BY_DAY_BELOW_PCT:
                hours = tuple(hour for hour in hours if hour.dry_bulb_f >= outdoor_low_f + FANS_OVER_LOW_F) or hours
            emcs = [hour.emc_pct for hour in hours]
            made[step] = air([hour.dry_bulb_f for hour in hours], emc_pct=emcs, step_days=1.0 / 24.0)
        return made[step]

    return day_air

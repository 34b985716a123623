"""The daily path of a cohort for its chart: past and to come, with the 80% band and the air's EMC."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from yard.wood.air_history import FREEZING_F, Air
from yard.wood.diffusion import Floats
from yard.wood.ensemble_run import FutureAir, FutureRun, PastRun
from yard.wood.ready_dates import HIGH, LOW

SHOWN_MEMBERS = 1024
# equally likely members behind the band (our choice)


@dataclass(frozen=True, slots=True)
class DailyPath:
    """One row a day: MC [%] low, median and high of the mean, EMC [%] of the air, frozen or not.

    The first `days_past` + 1 rows are the past up to now; the rest is to come.
    """

    dates: tuple[date, ...]
    low_pct: tuple[float, ...]
    median_pct: tuple[float, ...]
    high_pct: tuple[float, ...]
    emc_pct: tuple[float, ...]
    frozen: tuple[bool, ...]
    days_past: int


def daily_path(
    start: date, air: Air, past: PastRun, chosen: NDArray[np.intp], future_air: FutureAir, future: FutureRun
) -> DailyPath:
    """Return the path of equally likely members `chosen` from the past and their run into the future.

    >>> from yard.wood.air_history import air
    >>> from yard.wood.ensemble_run import Cohort, run_future, run_past
    >>> cohort, days = Cohort(1.0, 30.0, 3e-11, date(2025, 6, 1), frozen_stop=False), air([68.0] * 30, emc_pct=12.0)
    >>> theta = np.array([[np.log(3e-11)], [np.log(1.8e-8)], [80.0], [0.0]])
    >>> past, steady = run_past(cohort, days, theta, []), FutureAir(np.full((1, 300), 68.0), np.full((1, 300), 12.0))
    >>> ahead = run_future(cohort, theta, past.profile_pct, steady, 20.0)
    >>> path = daily_path(cohort.start, days, past, np.array([0]), steady, ahead)
    >>> path.days_past, path.median_pct[0], path.median_pct[30] == round(float(past.now(0)[0]), 2), path.emc_pct[30]
    (30, 80.0, True, 12.0)
    """
    days_past = int(past.days + 1e-6)
    stride = max(1, len(chosen) // SHOWN_MEMBERS)
    before = past.means_by_day(np.arange(days_past + 1.0), chosen[::stride])
    ahead = np.arange(1.0, future.days_run() + 1.0)
    after = future.means_by_day(ahead, stride)
    bands = np.concatenate([_bands(before), _bands(after)], axis=1)
    temp, emc = _by_day(air, days_past)
    days_ahead = len(ahead)
    temp = np.concatenate([temp, np.median(future_air.temp_f, axis=0)[: days_ahead + 1]])
    emc = np.concatenate([emc, np.median(future_air.emc_pct, axis=0)[: days_ahead + 1]])
    count = days_past + 1 + days_ahead
    temp, emc = _filled(temp, count), _filled(emc, count)
    low, middle, high = (tuple(np.round(row, 2).tolist()) for row in bands)
    return DailyPath(
        tuple(start + timedelta(days=day) for day in range(count)),
        low, middle, high, tuple(np.round(emc, 2).tolist()), tuple((temp < FREEZING_F).tolist()), days_past,
    )  # fmt: skip


def _bands(values: NDArray[np.floating]) -> Floats:
    if not len(values):
        return np.zeros((3, 0))
    ordered = np.sort(values, axis=1)
    last = ordered.shape[1] - 1
    return np.asarray([ordered[:, round(share * last)] for share in (LOW, 0.5, HIGH)], dtype=np.float64)


def _by_day(air: Air, days: int) -> tuple[Floats, Floats]:
    """Temperature [°F] and EMC [%] of each whole day, averaged over the steps in it."""
    if days == 0 or not len(air):
        return np.zeros(0), np.zeros(0)
    edges = np.concatenate([[0.0], np.cumsum(air.step_days)])
    marks = np.arange(days + 1.0)

    def averaged(values: Floats) -> Floats:
        sums = np.concatenate([[0.0], np.cumsum(values * air.step_days)])
        return np.asarray(np.diff(np.interp(marks, edges, sums)))

    return averaged(air.temp_f), averaged(air.emc_pct)


def _filled(values: Floats, count: int) -> Floats:
    return np.concatenate([values, np.repeat(values[-1:], max(0, count - len(values)))])[:count]

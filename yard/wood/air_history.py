"""The air a stack has stood in, or will stand in: yard, shed and kiln, one after the other."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from yard.wood.diffusion import Floats, temperature_factor
from yard.wood.ranges import OutsideRange

SECONDS_A_DAY = 86400.0

COLDEST_F, HOTTEST_F = -60.0, 260.0
# °F: the air a yard or a kiln can have; beyond it a reading is an error (our own limits)

FREEZING_F = 32.0

MOST_EMC_PCT = 40.0
# %: more is an error of the reading or of its unit (our own limit)


@dataclass(frozen=True, eq=False)
class Air:
    """Air in steps: the mean temperature and EMC of each, and its length (1 day, or 1/24 in a kiln).

    `step_days` may differ from step to step, so daily yard air and hourly kiln air make one history.
    """

    temp_f: Floats
    emc_pct: Floats
    step_days: Floats

    def __len__(self) -> int:
        return len(self.temp_f)

    @property
    def days(self) -> float:
        """How long the history is [days]."""
        return float(self.step_days.sum())

    @property
    def frozen(self) -> NDArray[np.bool_]:
        """Whether the air of each step was below freezing on average."""
        return np.asarray(self.temp_f < FREEZING_F)

    def then(self, later: "Air") -> "Air":
        """Return this air followed by other air: the yard, then the kiln.

        >>> yard, kiln = air([50.0, 52.0], emc_pct=13.0), air([120.0] * 24, emc_pct=6.0, step_days=1 / 24)
        >>> len(yard.then(kiln)), yard.then(kiln).days
        (26, 3.0)
        """
        return Air(
            np.concatenate([self.temp_f, later.temp_f]),
            np.concatenate([self.emc_pct, later.emc_pct]),
            np.concatenate([self.step_days, later.step_days]),
        )


def air(temp_f: ArrayLike, *, emc_pct: ArrayLike, step_days: ArrayLike = 1.0) -> Air:
    """Return Air from figures a step; one figure serves all steps.

    Parameters: temp_f [°F] -60 to 260; emc_pct [%] 0 to 40, of air averaged over the step first;
    step_days [days] above 0.
    Errors: OutsideRange that names the first figure out of its range.

    >>> air([60.0, 61.0, 59.0], emc_pct=12.5).days
    3.0
    """
    spread = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(one, dtype=np.float64)) for one in (temp_f, emc_pct, step_days))
    )
    temps, emcs, lengths = (np.ascontiguousarray(one) for one in spread)
    _require_all("air temperature", temps, COLDEST_F, HOTTEST_F, "°F")
    _require_all("EMC", emcs, 0.0, MOST_EMC_PCT, "%")
    _require_all("step of the air history", lengths, 1e-6, 3660.0, "days")
    return Air(temps, emcs, lengths)


def _require_all(what: str, values: Floats, low: float, high: float, unit: str) -> None:
    wrong = ~((values >= low) & (values <= high))
    if wrong.any():
        raise OutsideRange(what, float(values[wrong][0]), low, high, unit)


@dataclass(frozen=True, eq=False)
class WarmTime:
    """One history of air on the clock of the wood: seconds at 20 °C against days since the start."""

    day_edges: Floats  # days since the start, 0 first
    warm_edges_s: Floats  # seconds at 20 °C reached at each
    emc_sum: Floats = field(repr=False)  # the integral of EMC over warm time

    @property
    def total_s(self) -> float:
        """Warm time at the end [s at 20 °C]."""
        return float(self.warm_edges_s[-1])

    def at(self, day: ArrayLike) -> Floats:
        """Return the warm time [s] at days since the start."""
        return np.asarray(np.interp(np.asarray(day, dtype=np.float64), self.day_edges, self.warm_edges_s))

    def day(self, warm_s: ArrayLike) -> Floats:
        """Return the days since the start at warm times [s]."""
        return np.asarray(np.interp(np.asarray(warm_s, dtype=np.float64), self.warm_edges_s, self.day_edges))

    def mean_emc_pct(self, edges_s: Floats) -> Floats:
        """Return the mean EMC [%] between edges in warm time [s]; the last EMC goes on past the end."""
        if len(edges_s) < 2 or len(self.emc_sum) < 2:
            return np.zeros(max(0, len(edges_s) - 1))
        last = float(np.diff(self.emc_sum[-2:])[0] / max(np.diff(self.warm_edges_s[-2:])[0], 1e-300))
        beyond = np.clip(edges_s - self.total_s, 0.0, None) * last
        sums = np.interp(edges_s, self.warm_edges_s, self.emc_sum) + beyond
        return np.asarray(np.diff(sums) / np.diff(edges_s))


LEAST_FACTOR = 1e-6
# a frozen step still counts this much, so that warm time and days stay one to one (our own figure)


def warm_time(history: Air, *, frozen_stop: bool = False) -> WarmTime:
    """Return the clock of the wood for a history of air.

    Parameters: `frozen_stop` lets nothing dry in steps that are below 32 °F on average (common practice
    says that frozen wood does not dry, no source; without it the temperature factor slows it alone).

    >>> clock = warm_time(air([68.0, 68.0, 0.0], emc_pct=12.0), frozen_stop=True)
    >>> [round(float(s)) for s in clock.warm_edges_s]
    [0, 86400, 172800, 172800]
    """
    factor = temperature_factor(history.temp_f)
    if frozen_stop:
        factor = np.where(history.frozen, LEAST_FACTOR, factor)
    warm = factor * history.step_days * SECONDS_A_DAY

    def summed(steps: Floats) -> Floats:
        return np.concatenate([[0.0], np.cumsum(steps)])

    return WarmTime(summed(history.step_days), summed(warm), summed(warm * history.emc_pct))

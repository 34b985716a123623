"""What to measure next: how much each kind of measurement would shorten the interval of the ready date."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from yard.wood.diffusion import Floats
from yard.wood.observations import OVEN_SECTION_SD_PCT, PIN_RANGE_PCT, PIN_SD_PCT, WEIGHING_SD
from yard.wood.ready_dates import interval_days

WEIGHING, OVEN, METER = "weighing", "oven section", "meter"
SECOND_WEIGHING_DAYS = 14
# days: a first weighing is worth nothing until the second; this is how long after (our choice)

TRIALS, THINNED = 32, 1024
# outcomes tried for each measurement, and members used for it (our choice)


@dataclass(frozen=True, slots=True)
class Narrowing:
    """One measurement that could be made: what the 80% interval is expected to be after it [days]."""

    what: str
    how: str
    interval_now_days: float
    interval_after_days: float

    @property
    def saved_share(self) -> float:
        """By what share the interval would shrink, 0 to 1."""
        if self.interval_now_days <= 0:
            return 0.0
        return max(0.0, 1.0 - self.interval_after_days / self.interval_now_days)


@dataclass(frozen=True, eq=False)
class Prospect:
    """What each equally likely member would show at the next measurement, and when it is ready."""

    ready_days: Floats
    horizon_days: float
    mean_now_pct: Floats
    mean_at_first_weighing_pct: Floats | None  # None when no sample was ever weighed
    mean_in_a_fortnight_pct: Floats
    local_now_pct: Floats
    pin_depth_in: float


def what_narrows(prospect: Prospect) -> tuple[Narrowing, ...]:
    """Return the measurements with the most useful first.

    For each, some members play the truth in turn: what would be read is added with its usual error, all
    members are weighed by it, and the interval of the ready date is taken anew. The mean is reported.

    >>> boards = np.linspace(15.0, 27.0, 512)
    >>> prospect = Prospect(10.0 * (boards - 12.0), 400.0, boards, None, boards - 1.0, boards + 2.0, 0.22)
    >>> [one.what for one in what_narrows(prospect)]
    ['oven section', 'meter', 'weighing']
    """
    days = prospect.ready_days
    order = np.argsort(days)
    now = float(interval_days(days, np.ones((1, len(days))), order, prospect.horizon_days)[0])
    found = [
        Narrowing(what, how, now, _after(prospect, order, expected, spread, usable))
        for what, how, expected, spread, usable in _measurements(prospect)
    ]
    return tuple(sorted(found, key=lambda one: one.interval_after_days))


Usable = Callable[[Floats], NDArray[np.bool_]]


def _measurements(prospect: Prospect) -> list[tuple[str, str, Floats, float, Usable]]:
    first = prospect.mean_at_first_weighing_pct
    if first is None:
        ratio = (100.0 + prospect.mean_in_a_fortnight_pct) / (100.0 + prospect.mean_now_pct)
        how = f"weigh a sample now and again in {SECOND_WEIGHING_DAYS} days"
    else:
        ratio = (100.0 + prospect.mean_now_pct) / (100.0 + first)
        how = "weigh the sample again"
    low, high = PIN_RANGE_PCT
    return [
        (WEIGHING, how, ratio, WEIGHING_SD, _always),
        (OVEN, "cut a section and dry it in an oven", prospect.mean_now_pct, OVEN_SECTION_SD_PCT, _always),
        (
            METER,
            f"read a meter with pins {prospect.pin_depth_in:g} in deep",
            prospect.local_now_pct,
            PIN_SD_PCT,
            lambda read: (read >= low) & (read <= high),
        ),
    ]


def _always(read: Floats) -> NDArray[np.bool_]:
    return np.ones(len(read), bool)


def _after(prospect: Prospect, order: NDArray[np.intp], expected: Floats, spread: float, usable: Usable) -> float:
    """The mean interval [days] after a measurement, over evenly spread outcomes."""
    members = len(expected)
    truths = np.argsort(expected)[(np.arange(TRIALS) * 2 + 1) * members // (2 * TRIALS)]
    errors = np.random.default_rng(1).permutation(_EVEN_NORMAL)
    read = expected[truths] + spread * errors
    weights = np.exp(-0.5 * ((read[:, None] - expected[None, :]) / spread) ** 2)
    weights[~usable(read)] = 1.0
    return float(interval_days(prospect.ready_days, weights, order, prospect.horizon_days).mean())


def _even_normal() -> Floats:
    from statistics import NormalDist

    return np.array([NormalDist().inv_cdf((n + 0.5) / TRIALS) for n in range(TRIALS)])


_EVEN_NORMAL = _even_normal()


def first_weighing(dates: list[date]) -> date | None:
    """The earliest date on which a sample was weighed.

    >>> first_weighing([date(2025, 5, 1), date(2025, 4, 1)]), first_weighing([])
    (datetime.date(2025, 4, 1), None)
    """
    return min(dates, default=None)

"""When a cohort will be ready: dates with an interval, or an honest word that it will not."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from yard.wood.diffusion import Floats

LOW, HIGH = 0.1, 0.9
# the ends of an 80% interval

THERE, FORECAST, DOUBTFUL, OUT_OF_REACH = "there", "forecast", "doubtful", "out of reach"


@dataclass(frozen=True, slots=True)
class ReadyDate:
    """When the mean MC is at a target: the middle date and an 80% interval.

    `state` is "there" (nine boards in ten are), "forecast", "doubtful" (half or fewer get there before the
    horizon) or "out of reach" (fewer than one in ten). A date that lies beyond the horizon is None; `state`
    and `words` say so. `latest` is the promise that holds nine times in ten.
    """

    target_mc_pct: float
    earliest: date | None
    likely: date | None
    latest: date | None
    probability_now: float
    probability_within_horizon: float
    horizon: date
    state: str
    words: str


def ready_date(
    target_mc_pct: float, days: Floats, horizon_days: float, as_of: date, air_brings_to_pct: float
) -> ReadyDate:
    """Return the ReadyDate from the days that equally likely members take (0 there, infinite never).

    Parameters: `horizon_days` how far ahead was run; `air_brings_to_pct` the driest that the air to come
    leaves wood at [%].

    >>> r = ready_date(20, np.array([10.0, 12.0, 14.0, np.inf]), 365, date(2025, 1, 1), 13.0)
    >>> r.state, r.likely.isoformat(), r.latest
    ('forecast', '2025-01-13', None)
    """
    now, within = float((days <= 0).mean()), float(np.isfinite(days).mean())
    earliest, likely, latest = (_date_of(_quantile(days, share), as_of) for share in (LOW, 0.5, HIGH))
    if now >= HIGH:
        state = THERE
    elif within < LOW:
        state = OUT_OF_REACH
    elif within <= 0.5:
        state = DOUBTFUL
    else:
        state = FORECAST
    horizon = as_of + timedelta(days=int(horizon_days))
    words = _words(state, target_mc_pct, now, within, horizon, air_brings_to_pct)
    return ReadyDate(target_mc_pct, earliest, likely, latest, now, within, horizon, state, words)


def interval_days(days: Floats, weights: Floats, order: NDArray[np.intp], horizon_days: float) -> Floats:
    """Return the length [days] of the 80% interval of ready dates, one a row of weights (rows, members).

    Parameters: `days` sorted by `order`; a member that never gets there counts as the horizon.

    >>> days, alike = np.arange(1.0, 101.0), np.ones((1, 100))
    >>> interval_days(days, alike, np.arange(100), 365.0).tolist()
    [80.0]
    """
    capped = np.minimum(days[order], horizon_days)
    sums = np.cumsum(weights[:, order], axis=1)
    sums /= sums[:, -1:]
    low = capped[np.minimum((sums < LOW).sum(axis=1), len(capped) - 1)]
    high = capped[np.minimum((sums < HIGH).sum(axis=1), len(capped) - 1)]
    return np.asarray(high - low)


def _quantile(days: Floats, share: float) -> float:
    ordered = np.sort(days)
    return float(ordered[min(len(ordered) - 1, int(np.ceil(share * len(ordered))) - 1)])


def _date_of(days: float, as_of: date) -> date | None:
    # Ready during a day means ready at its end: a promise rounds up.
    return as_of + timedelta(days=int(np.ceil(days))) if np.isfinite(days) else None


def _words(state: str, target: float, now: float, within: float, horizon: date, air_brings_to_pct: float) -> str:
    if state == THERE:
        return f"There now: {now:.0%} sure that the mean is at or under {target:g}%."
    if state in (OUT_OF_REACH, DOUBTFUL):
        last = f"{horizon.day} {horizon:%b %Y}"
        sure = "Not reached" if state == OUT_OF_REACH else f"Only {within:.0%} sure to be reached"
        if target < air_brings_to_pct + 1.0:
            return (
                f"{sure} by {last}: the air to come brings wood to about {air_brings_to_pct:.0f}%, so "
                f"{target:g}% asks for a kiln or heated air."
            )
        return f"{sure} by {last}, as far ahead as was looked."
    if now > LOW:
        return f"Perhaps there already ({now:.0%}): a measurement would tell."
    return f"{within:.0%} sure to be reached by {horizon.day} {horizon:%b %Y}."

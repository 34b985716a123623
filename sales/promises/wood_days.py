"""Days until wood is at a target MC, from the dates that its estimate gives."""

import math
from datetime import date

from sales.promises.spread import Spread

THERE_FROM = 0.9
# probability from which wood counts as at its target: nine boards in ten are, as the estimate's own "there"


def days_to_target(
    today: date, earliest: date | None, likely: date | None, latest: date | None, reached_now: float
) -> Spread | None:
    """Return the days from `today` until the target, None when the wood is there.

    Parameters: the dates of an estimate's 80% interval, None for beyond its horizon; `reached_now` the probability
    [0 to 1] that it is there on the estimate's day. Dates that have passed count as today.

    >>> days_to_target(date(2026, 3, 2), date(2026, 3, 12), date(2026, 4, 1), None, 0.0)
    Spread(low_days=10.0, mid_days=30.0, high_days=inf)
    >>> days_to_target(date(2026, 3, 2), None, None, None, 0.95) is None
    True
    """
    if reached_now >= THERE_FROM:
        return None
    low, middle, high = (
        math.inf if day is None else float(max(0, (day - today).days)) for day in (earliest, likely, latest)
    )
    return Spread(low, max(low, middle), max(low, middle, high))

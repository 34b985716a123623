"""Observations that disagree with all the others, and what is made of it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from yard.wood.diffusion import Floats
from yard.wood.ensemble import normalised
from yard.wood.observations import CondensateCaught, Observation, WeighingRatio

CONFLICT_SDS = 3.0
# standard deviations between an observation and what the others foretell (our choice)

FEWEST_FOR_SCATTER = 6
# observations before their scatter can be judged (our choice)

MEDIAN_OF_NORMAL = 0.6745
# median of the absolute value of a standard normal (mathematics)

MEDIAN_EFFICIENCY = 0.37
# of a scale told from the median of residuals against one from their squares, normal errors (mathematics)

SPREADS_TRUST = 4.0
# observations that the stated spreads count for when the scatter is judged (our choice)


@dataclass(frozen=True, slots=True)
class Conflict:
    """An observation that the rest would not have foretold: by how many standard deviations, and in words."""

    observation: Observation
    off_by_sd: float
    expected: float
    words: str


def find_conflicts(
    observed: Sequence[Observation], expected: Sequence[Floats], each: Floats, log_correction: Floats
) -> tuple[Conflict, ...]:
    """Return the observations over three standard deviations from what all others foretell.

    Parameters: `expected` what each member would have shown, `each` (observations, members) their
    log-likelihoods, `log_correction` of the members.

    >>> from datetime import date
    >>> from yard.wood.observations import OvenSection
    >>> cut = [OvenSection(date(2025, 5, day), mc_pct) for day, mc_pct in ((1, 40.0), (2, 41.0), (3, 60.0))]
    >>> boards = np.array([38.0, 40.0, 42.0])
    >>> each = np.array([one.log_likelihood(boards) for one in cut])
    >>> [one.observation.mc_pct for one in find_conflicts(cut, [boards] * 3, each, np.zeros(3))]
    [60.0]
    """
    found = []
    for one, foretold, off in _left_out(observed, expected, each, log_correction):
        if abs(off) > CONFLICT_SDS:
            found.append(Conflict(one, off, foretold, _words(one, foretold, off)))
    return tuple(found)


def widening(
    observed: Sequence[Observation], expected: Sequence[Floats], each: Floats, log_correction: Floats
) -> float:
    """Return the factor on all spreads that the scatter of the observations asks for, 1 where they need none.

    The scale of the residuals is weighed against the stated spreads, so that a scatter that chance can make
    changes little and no step stands between a little and too much.
    Source: scale from the median, shrunk as a scaled inverse chi-square prior shrinks it (standard statistics);
    only from six observations on.

    >>> widening([], [], np.zeros((0, 3)), np.zeros(3))
    1.0
    """
    if len(observed) < FEWEST_FOR_SCATTER:
        return 1.0
    off = [abs(off) for _, _, off in _left_out(observed, expected, each, log_correction)]
    scale, told = float(np.median(off)) / MEDIAN_OF_NORMAL, MEDIAN_EFFICIENCY * len(observed)
    return max(1.0, float(np.sqrt((SPREADS_TRUST + told * scale**2) / (SPREADS_TRUST + told))))


def _left_out(
    observed: Sequence[Observation], expected: Sequence[Floats], each: Floats, log_correction: Floats
) -> list[tuple[Observation, float, float]]:
    """Each observation with what the others foretell of it and how far it is off [sd]."""
    total = each.sum(axis=0) + log_correction
    found = []
    for one, shown, own in zip(observed, expected, each, strict=True):
        weights = normalised(total - own)
        foretold = float(weights @ shown)
        variance = float(weights @ (shown - foretold) ** 2)
        off = (one.value - foretold) / np.sqrt(variance + one.spread**2)
        if isinstance(one, CondensateCaught):
            off = max(off, 0.0)
        found.append((one, foretold, float(off)))
    return found


def _words(one: Observation, foretold: float, off: float) -> str:
    if isinstance(one, WeighingRatio):
        percent = 100.0 * abs(one.value - foretold) / foretold
        side = "heavier" if off > 0 else "lighter"
        return f"The {one} is {percent:.1f}% {side} than everything else says: weigh again or check the record."
    side = "above" if off > 0 else "below"
    return f"The {one} is {abs(one.value - foretold):.0f}% MC {side} what everything else says: check the record."

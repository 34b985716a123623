"""The ensemble weighed by the observations: scouted with few members, then run in full."""

from dataclasses import dataclass

import numpy as np

from yard.wood.air_history import Air
from yard.wood.conflicts import Conflict, find_conflicts, widening
from yard.wood.diffusion import Floats
from yard.wood.ensemble import LEAST_EFFECTIVE, Members, draw_again, draw_prior, effective_size, normalised
from yard.wood.ensemble_run import Cohort, PastRun, run_past
from yard.wood.observations import Observation
from yard.wood.priors import Prior

ROUNDS = 4
# how often at most the ensemble is drawn anew (our choice)

SCOUT_SHARE, FEWEST_SCOUTS, SCOUTS_FOUND = 4, 512, 6.0
# a quarter of the members look first where the agreeing ones are; found when six of them count (our choice)


@dataclass(frozen=True, eq=False)
class WeighedEnsemble:
    """The members with their weights, and how they came about."""

    members: Members
    past: PastRun
    weights: Floats
    conflicts: tuple[Conflict, ...]
    widened: float


@dataclass(frozen=True, eq=False)
class _Seen:
    """Members run through the past beside what was observed."""

    observed: list[Observation]
    members: Members
    past: PastRun
    expected: list[Floats]
    each: Floats  # log-likelihood (observations, members)

    def log_likelihood(self, widened: float) -> Floats:
        return np.asarray(self.each.sum(axis=0) / widened**2)

    def weights(self, widened: float) -> Floats:
        return normalised(self.log_likelihood(widened) + self.members.log_correction)

    def widening(self) -> float:
        return widening(self.observed, self.expected, self.each, self.members.log_correction)


def weigh_ensemble(
    cohort: Cohort, air: Air, prior: Prior, observed: list[Observation], seed: int, count: int
) -> WeighedEnsemble:
    """Return `count` members of a cohort weighed by what was observed, drawn anew where few agree.

    Observations that scatter more than they should are believed less, all alike.

    >>> from datetime import date
    >>> from yard.wood.air_history import air as make_air
    >>> from yard.wood.observations import OvenSection
    >>> from yard.wood.priors import starting_prior
    >>> cohort = Cohort(1.0, 30.0, 3e-11, date(2025, 6, 1), frozen_stop=False)
    >>> cut, history = [OvenSection(date(2025, 6, 1), 70.0)], make_air([68.0] * 10, emc_pct=12.0)
    >>> found = weigh_ensemble(cohort, history, starting_prior("oak-northern-red"), cut, seed=0, count=1024)
    >>> bool(69 < found.weights @ found.members.theta[2] < 72), effective_size(found.weights) >= 100
    (True, True)
    """
    members, widened = _scouted(cohort, air, prior, observed, seed, count), 1.0
    for number in range(ROUNDS + 1):
        seen = _run(cohort, air, members, observed)
        if effective_size(seen.weights(widened)) >= LEAST_EFFECTIVE:
            wider = seen.widening()
            if wider <= widened:
                break
            widened = wider
            if effective_size(seen.weights(widened)) >= LEAST_EFFECTIVE:
                break
        if number < ROUNDS:
            members = draw_again(prior, members, seen.log_likelihood(widened), _seed(seed, number), count)
    conflicts = find_conflicts(observed, seen.expected, seen.each, seen.members.log_correction)
    return WeighedEnsemble(seen.members, seen.past, seen.weights(widened), conflicts, widened)


def _scouted(cohort: Cohort, air: Air, prior: Prior, observed: list[Observation], seed: int, count: int) -> Members:
    """Return the members to run in full: from the prior, or from where scouts found agreement."""
    few = count // SCOUT_SHARE
    if not observed or few < FEWEST_SCOUTS:
        return draw_prior(prior, count, seed)
    scouts = draw_prior(prior, few, seed)
    for number in range(ROUNDS):
        seen = _run(cohort, air, scouts, observed)
        size = effective_size(seen.weights(1.0))
        if number == 0 and size * SCOUT_SHARE >= 1.5 * LEAST_EFFECTIVE:
            return draw_prior(prior, count, seed)
        if size >= SCOUTS_FOUND:
            break
        scouts = draw_again(prior, scouts, seen.log_likelihood(1.0), _seed(seed, 10 + number), few)
    return draw_again(prior, seen.members, seen.log_likelihood(1.0), _seed(seed, 20), count)


def _run(cohort: Cohort, air: Air, members: Members, observed: list[Observation]) -> _Seen:
    past = run_past(cohort, air, members.theta, observed)
    expected = [np.asarray(one.expected(past), dtype=np.float64) for one in observed]
    each = np.array([one.log_likelihood(e) for one, e in zip(observed, expected, strict=True)])
    return _Seen(observed, members, past, expected, each.reshape(len(observed), len(members)))


def _seed(seed: int, number: int) -> int:
    return seed + 7919 * (number + 1)

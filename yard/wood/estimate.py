"""How wet a cohort is inside today, when it will be ready, and what would narrow it most.

    found = estimate_cohort(
        species="oak-northern-red", thickness_in=2.125, start_date=date(2025, 4, 1),
        air=air_from_humidity(temp_f, rh_pct),            # every day (or hour) from the start to now
        observations=[
            OvenSection(date(2025, 4, 1), 78.0),
            weighing_ratio(first_on=date(2025, 4, 1), first_lb=14.2, on=date(2025, 6, 1), weight_lb=11.9),
            PinReading(date(2025, 9, 1), depth_in=0.45, mc_pct=24.0),
        ],
        targets_mc_pct=(20.0, 12.0),
        future_air=future_air(future_weather(climate, today, 730, 32, seed=1)),
    )
    found.mean, found.shell, found.core      # Interval(value, low, high) in % MC, 80%
    found.ready[0].likely, .earliest, .latest, .state, .words
    found.path.dates, .low_pct, .median_pct, .high_pct, .emc_pct, .frozen
    found.narrowing[0].what                  # "weighing", "oven section" or "meter"
    found.reasons, found.conflicts, found.ignored, found.effective_sample_size, found.posterior

Finished stacks: keep each `posterior` and pass `learned_prior(starting_prior(species), posteriors)` as
`prior` to the next stack of that species and thickness.

How: thousands of simulated boards differ as the prior allows; each runs once through the air that was; its
agreement with the observations is its weight; where few are left the ensemble is drawn anew round them; the
weighted ones run on through the weathers that may come.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from yard.wood.air_history import Air
from yard.wood.conflicts import Conflict
from yard.wood.daily_path import DailyPath, daily_path
from yard.wood.diffusion import Floats
from yard.wood.drying import THICKEST_IN, THINNEST_IN
from yard.wood.ensemble import effective_size, resampled
from yard.wood.ensemble_run import (
    CORE,
    MEAN,
    SHELL,
    Cohort,
    FutureAir,
    FutureRun,
    PastRun,
    Reals,
    future_air,
    pin_depth_in,
    run_future,
)
from yard.wood.estimate_words import estimate_reasons
from yard.wood.next_measurement import SECOND_WEIGHING_DAYS, THINNED, Narrowing, Prospect, what_narrows
from yard.wood.observations import (
    CondensateCaught,
    Observation,
    OvenSection,
    PinReading,
    StackWeighing,
    WeighingRatio,
    usable,
    weighing_ratio,
)
from yard.wood.priors import Belief, PosteriorSummary, Prior, learned_prior, starting_prior
from yard.wood.ranges import require_range
from yard.wood.ready_dates import HIGH, LOW, THERE, ReadyDate, ready_date
from yard.wood.species import Species
from yard.wood.species import species as species_of
from yard.wood.weighed_ensemble import WeighedEnsemble, weigh_ensemble

__all__ = [
    "CohortEstimate", "CondensateCaught", "Conflict", "DailyPath", "FutureAir", "Interval", "Narrowing",
    "OvenSection", "PinReading", "PosteriorSummary", "Prior", "ReadyDate", "StackWeighing", "WeighingRatio",
    "estimate_cohort", "future_air", "learned_prior", "starting_prior", "weighing_ratio",
]  # fmt: skip

MEMBERS, FUTURE_MEMBERS = 4096, 2048


@dataclass(frozen=True, slots=True)
class Interval:
    """A figure with its 80% interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class CohortEstimate:
    """What the observations say of a cohort; MC in % of oven-dry weight, intervals 80%."""

    as_of: date
    mean: Interval
    shell: Interval
    core: Interval
    ready: tuple[ReadyDate, ...]
    path: DailyPath
    narrowing: tuple[Narrowing, ...]
    conflicts: tuple[Conflict, ...]
    ignored: tuple[tuple[Observation, str], ...]
    effective_sample_size: float
    method: str
    reasons: tuple[str, ...]
    posterior: PosteriorSummary


def estimate_cohort(
    *,
    species: str | Species,
    thickness_in: float,
    start_date: date,
    air: Air,
    observations: Sequence[Observation] = (),
    targets_mc_pct: Sequence[float] = (20.0,),
    narrow_for_mc_pct: float | None = None,
    future_air: FutureAir,
    start_mc_pct: float | None = None,
    start_mc_sd_pct: float | None = None,
    prior: Prior | None = None,
    shelter: float = 1.0,
    frozen_stop: bool = False,
    seed: int = 0,
    members: int = MEMBERS,
) -> CohortEstimate:
    """Return the estimate of a cohort at the end of its air history.

    Parameters: `species` key or Species; thickness_in [in] 0.25 to 6; `start_date` when it was stickered (or
    sawn); `air` from the start to now, in steps of a day or an hour; `observations` in any order; targets
    [% MC] 4 to 100; narrow_for_mc_pct the target that `narrowing` is about, None (or when it is there or out
    of reach) for the first of the targets that is still to come; `future_air` the weathers that may come, from
    today on; start_mc_pct [%] and its spread where the yard knows them; `prior` from `learned_prior`;
    `shelter` how freely air moves (1 an open pile);
    `frozen_stop` lets frozen wood stand still; `seed` and `members` (128 to 65,536) of the ensemble.
    Returns: CohortEstimate; the same input gives the same estimate.
    Errors: UnknownSpecies, OutsideRange.
    Source: ensemble weighted by likelihoods (importance sampling, standard mathematics) over the model of
    `drying.py`; spreads DRYING-START.

    >>> from yard.wood.drying import air as make_air
    >>> found = estimate_cohort(
    ...     species="oak-northern-red", thickness_in=1.0, start_date=date(2025, 6, 1),
    ...     air=make_air([68.0] * 30, emc_pct=12.0), observations=[OvenSection(date(2025, 7, 1), 35.0)],
    ...     future_air=FutureAir(np.full((2, 300), 68.0), np.full((2, 300), 12.0)), members=1024)
    >>> abs(found.mean.value - 35.0) < 2.0, found.ready[0].state, found.core.value > found.shell.value
    (True, 'forecast', True)
    """
    require_range("thickness", thickness_in, THINNEST_IN, THICKEST_IN, "in")
    require_range("number of members", members, 128, 65536)
    for target in targets_mc_pct:
        require_range("target MC", target, 4.0, 100.0, "%")
    wood = species_of(species)
    belief = prior or starting_prior(wood, start_mc_pct=start_mc_pct, start_mc_sd_pct=start_mc_sd_pct, shelter=shelter)
    cohort = Cohort(thickness_in, wood.fibre_saturation_pct, float(np.exp(belief.ln_d.mean)), start_date, frozen_stop)
    kept, ignored = usable(tuple(observations), start_date, air.days)
    weighed = weigh_ensemble(cohort, air, belief, kept, seed, members)
    targets = tuple(dict.fromkeys(targets_mc_pct))
    return _Assembly(
        cohort, air, belief, kept, ignored, weighed, future_air, targets, narrow_for_mc_pct, seed
    ).estimate()


@dataclass(frozen=True, eq=False)
class _Assembly:
    """Everything an estimate is put together from."""

    cohort: Cohort
    air: Air
    prior: Prior
    observed: list[Observation]
    ignored: list[tuple[Observation, str]]
    weighed: WeighedEnsemble
    future_air: FutureAir
    targets: tuple[float, ...]
    narrow_for: float | None
    seed: int

    def estimate(self) -> CohortEstimate:
        weighed, past = self.weighed, self.weighed.past
        block = -(-min(FUTURE_MEMBERS, len(weighed.weights)) // self.future_air.traces)
        chosen = resampled(weighed.weights, block * self.future_air.traces, self.seed)
        future = run_future(
            self.cohort,
            weighed.members.theta[:, chosen],
            past.profile_pct[:, chosen],
            self.future_air,
            min(self.targets, default=20.0),
        )
        as_of = self.cohort.start + timedelta(days=int(past.days + 1e-6))
        ready = self._ready(future, as_of)
        size = effective_size(weighed.weights)
        return CohortEstimate(
            as_of,
            self._interval(past.now(MEAN)),
            self._interval(past.now(SHELL)),
            self._interval(past.now(CORE)),
            tuple(one for one, _ in ready),
            daily_path(self.cohort.start, self.air, past, chosen, self.future_air, future),
            self._narrowing(past, chosen, future, ready),
            weighed.conflicts,
            tuple(self.ignored),
            size,
            f"{len(weighed.weights):,} simulated boards weighed by {len(self.observed)} observations",
            estimate_reasons(
                self.observed, self.ignored, weighed.conflicts, weighed.widened, size, self.air, self.prior
            ),
            self._posterior(),
        )

    def _interval(self, values: Reals) -> Interval:
        order = np.argsort(values)
        sums = np.cumsum(self.weighed.weights[order])
        low, middle, high = np.interp([LOW, 0.5, HIGH], sums, values[order])
        return Interval(float(middle), float(low), float(high))

    def _ready(self, future: FutureRun, as_of: date) -> list[tuple[ReadyDate, Floats]]:
        offset = float(self.weighed.weights @ self.weighed.members.theta[3])
        brings_to = future.driest_emc_pct() + offset
        found = []
        for target in self.targets:
            days = future.days_to(target)
            found.append((ready_date(target, days, self.future_air.days, as_of, brings_to), days))
        return found

    def _narrowing(
        self, past: PastRun, chosen: NDArray[np.intp], future: FutureRun, ready: list[tuple[ReadyDate, Floats]]
    ) -> tuple[Narrowing, ...]:
        open_: dict[float | None, Floats] = {
            one.target_mc_pct: days
            for one, days in ready
            if one.state != THERE and one.probability_within_horizon > LOW
        }
        if not open_:
            return ()
        days = open_.get(self.narrow_for, next(iter(open_.values())))
        some = slice(None, None, max(1, len(chosen) // THINNED))
        first = min((one.reference_on for one in self.observed if isinstance(one, WeighingRatio)), default=None)
        depth = pin_depth_in(self.cohort)
        soon = future.means_by_day(np.array([float(SECOND_WEIGHING_DAYS)]), 1)[0]
        return what_narrows(
            Prospect(
                days[some],
                float(self.future_air.days),
                past.now(MEAN)[chosen][some].astype(np.float64),
                None if first is None else past.mean_at(past.day(first))[chosen][some].astype(np.float64),
                soon[some].astype(np.float64),
                past.local_at(depth, past.days)[chosen][some].astype(np.float64),
                depth,
            )
        )

    def _posterior(self) -> PosteriorSummary:
        theta, weights = self.weighed.members.theta, self.weighed.weights
        mean = theta @ weights
        sd = np.sqrt(np.maximum(((theta - mean[:, None]) ** 2) @ weights, 1e-12))
        beliefs = [Belief(float(m), float(s)) for m, s in zip(mean, sd, strict=True)]
        return PosteriorSummary(beliefs[0], beliefs[1], beliefs[3], self.prior, len(self.observed))

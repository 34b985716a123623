"""The stored estimates: made anew when an observation, a move or weather arrives, never while a page is shown.

    estimates_refresh(cohort_ids=[cohort.pk], because="weighing of A-3")

runs the model of `yard.wood.estimate` on the air the wood has stood in and everything observed of it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from django.db import transaction
from django.utils import timezone

from yard.models import Cohort, Estimate, EstimateTarget, Yard
from yard.services.air_history import AirSpan, air_histories
from yard.services.cohort_air import AirBook, PastAir, future_in_words
from yard.services.cohort_observations import Observed, observed_of
from yard.services.yard_prior import posterior_to_json, prior_for
from yard.wood.estimate import CohortEstimate, estimate_cohort
from yard.wood.ranges import OutsideRange
from yard.wood.ready_dates import ReadyDate
from yard.wood.safe_rate import safe_rate_pct_per_day

USUAL_TARGETS_PCT = (30.0, 25.0, 20.0, 15.0)  # asked for every cohort besides its own target
RATE_DAYS = 7


def estimates_refresh(*, cohort_ids: Iterable[int], because: str) -> list[Estimate]:
    """Make the estimates of these cohorts anew and store them; returns the new ones.

    A cohort whose wood or air the model does not cover keeps its old estimate and is no longer stale.
    Errors: NoPlaceError when the yard has no place.
    """
    cohorts = list(
        Cohort.objects.filter(pk__in=set(cohort_ids)).select_related("stack", "stack__bay", "stack__bay__sensor")
    )
    if not cohorts:
        return []
    yard, today = Yard.objects.get(pk=1), timezone.localdate()
    book = AirBook(yard=yard, first=min(cohort.started_on for cohort in cohorts), today=today)
    spans = air_histories(cohorts)
    made = [_refresh(cohort, spans[cohort.pk], book, because) for cohort in cohorts]
    return [estimate for estimate in made if estimate is not None]


def estimates_refresh_stale(*, because: str = "something arrived", most: int | None = None) -> int:
    """Refresh every cohort that something has arrived for; returns how many."""
    ids = list(
        Cohort.objects.filter(stale_since__isnull=False).order_by("stale_since").values_list("pk", flat=True)[:most]
    )
    return len(estimates_refresh(cohort_ids=ids, because=because))


def estimates_refresh_old(*, because: str = "a new day") -> int:
    """Refresh the standing cohorts whose estimate is not of today, and the stale ones; returns how many."""
    ids = list(
        Cohort.objects.filter(left_at__isnull=True)
        .exclude(estimate__as_of__gte=timezone.localdate(), stale_since__isnull=True)
        .values_list("pk", flat=True)
    )
    return len(estimates_refresh(cohort_ids=ids, because=because)) + estimates_refresh_stale(because=because)


def own_target_pct(cohort: Cohort, yard: Yard) -> float:
    """The MC that a cohort is meant to reach where it stands: its stack's own, or the yard's for the kiln."""
    return cohort.stack.target_mc_pct or yard.kiln_target_pct


def _refresh(cohort: Cohort, spans: Sequence[AirSpan], book: AirBook, because: str) -> Estimate | None:
    seen_stale = cohort.stale_since
    end = book.today if cohort.left_at is None else min(book.today, timezone.localdate(cohort.left_at))
    past = book.past(spans, cohort.started_on, end)
    observed = observed_of(cohort, spans)
    try:
        found = _run(cohort, past, observed, book)
    except OutsideRange:
        Cohort.objects.filter(pk=cohort.pk, stale_since=seen_stale).update(stale_since=None)
        return None
    return _store(cohort, found, past, observed, book, because)


def _run(cohort: Cohort, past: PastAir, observed: Observed, book: AirBook) -> CohortEstimate:
    own = own_target_pct(cohort, book.yard)
    return estimate_cohort(
        species=cohort.species_key,
        thickness_in=cohort.thickness_in,
        start_date=cohort.started_on,
        air=past.for_model(),
        observations=observed.used,
        targets_mc_pct=tuple(sorted({own, *USUAL_TARGETS_PCT}, reverse=True)),
        future_air=book.coming(cohort.stack.bay),
        prior=prior_for(cohort),
        frozen_stop=book.yard.frozen_stops_drying,
        seed=cohort.pk,
        narrow_for_mc_pct=own,
    )


@transaction.atomic
def _store(
    cohort: Cohort, found: CohortEstimate, past: PastAir, observed: Observed, book: AirBook, because: str
) -> Estimate:
    locked = Cohort.objects.select_for_update().get(pk=cohort.pk)
    # Of what is superseded the MC and the date for the wood's own target stay, to be compared with what came.
    EstimateTarget.objects.filter(estimate__cohort=cohort, estimate__is_current=True, is_own=False).delete()
    Estimate.objects.filter(cohort=cohort, is_current=True).update(is_current=False, path={})
    path = _path(found, past)
    estimate = Estimate.objects.create(
        cohort=cohort, as_of=found.as_of, computed_at=timezone.now(),
        mean_pct=found.mean.value, mean_low_pct=found.mean.low, mean_high_pct=found.mean.high,
        shell_pct=found.shell.value, core_pct=found.core.value, core_low_pct=found.core.low,
        core_high_pct=found.core.high, rate_pct_day=_rate(path), safe_rate_pct_day=_safe_rate(cohort), path=path,
        narrow=[_narrowing(one) for one in found.narrowing], reasons=_reasons(found, past, cohort),
        conflicts=[{"words": one.words, "off_by_sd": round(one.off_by_sd, 1)} for one in found.conflicts],
        inputs=_inputs(cohort, found, observed, book), posterior=posterior_to_json(found.posterior),
        because=because[:120],
    )  # fmt: skip
    own = own_target_pct(cohort, book.yard)
    EstimateTarget.objects.bulk_create(_target(estimate, ready, own) for ready in found.ready)
    locked.estimate = estimate
    if locked.stale_since == cohort.stale_since:
        locked.stale_since = None
    locked.save(update_fields=["estimate", "stale_since"])
    return estimate


def _target(estimate: Estimate, ready: ReadyDate, own_pct: float) -> EstimateTarget:
    return EstimateTarget(
        estimate=estimate, target_mc_pct=ready.target_mc_pct, is_own=ready.target_mc_pct == own_pct,
        reached_now=ready.probability_now, low_on=ready.earliest, mid_on=ready.likely, high_on=ready.latest,
        reason=ready.words[:200],
    )  # fmt: skip


def _path(found: CohortEstimate, past: PastAir) -> dict[str, Any]:
    """The daily columns for the chart: past up to `now`, then what is to come."""
    path = found.path
    return {
        "first": path.dates[0].isoformat(), "now": path.days_past,
        "low": _rounded(path.low_pct), "mid": _rounded(path.median_pct), "high": _rounded(path.high_pct),
        "emc": _rounded(path.emc_pct), "frozen": [int(one) for one in path.frozen],
        "air_from": past.daily.rh_from[: path.days_past], "bays": past.bays[: path.days_past],
    }  # fmt: skip


def _rounded(values: Sequence[float]) -> list[float]:
    return [round(value, 1) for value in values]


def _rate(path: dict[str, Any]) -> float:
    now = path["now"]
    days = min(RATE_DAYS, now)
    return (path["mid"][now - days] - path["mid"][now]) / days if days else 0.0


def _safe_rate(cohort: Cohort) -> float | None:
    try:
        return safe_rate_pct_per_day(cohort.species_key, cohort.thickness_in)
    except OutsideRange:
        return None


def _narrowing(one) -> dict[str, Any]:
    return asdict(one) | {"saved_share": round(one.saved_share, 3)}


def _reasons(found: CohortEstimate, past: PastAir, cohort: Cohort) -> list[str]:
    air = [f"The air: {words}." for words in past.in_words()]
    return [*found.reasons, *air, future_in_words(cohort.stack.bay)]


def _inputs(cohort: Cohort, found: CohortEstimate, observed: Observed, book: AirBook) -> dict[str, Any]:
    """What the estimate was computed from, for its working."""
    prior = found.posterior.prior
    return {
        "species_key": cohort.species_key, "thickness_in": cohort.thickness_in,
        "started_on": cohort.started_on.isoformat(), "frozen_stop": book.yard.frozen_stops_drying,
        "prior": asdict(prior), "method": found.method,
        "effective_sample_size": round(found.effective_sample_size),
        "observations": [str(one) for one in observed.used],
        "left_aside": [*observed.left_aside, *(f"{one}: {why}" for one, why in found.ignored)],
    }  # fmt: skip

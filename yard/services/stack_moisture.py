"""What a stack's stored estimates say in a word: how wet, between what, and ready when. No model runs here."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, Q, QuerySet

from yard.models import Cohort, Estimate, EstimateTarget, Stack

READY_FROM = 0.5  # a target counts as reached when that is more likely than not
HEAVY = ("path", "posterior", "inputs", "narrow", "reasons", "conflicts")


@dataclass(frozen=True, slots=True)
class CohortMoisture:
    """A cohort with its newest estimate, None until there is one, and the date for the stack's own target."""

    cohort: Cohort
    estimate: Estimate | None
    own: EstimateTarget | None

    @property
    def is_ready(self) -> bool:
        return self.own is not None and self.own.reached_now >= READY_FROM


@dataclass(frozen=True, slots=True)
class StackMoisture:
    """The wettest cohort's moisture with its 80% interval, and when the last cohort is ready."""

    mean_pct: float | None
    low_pct: float | None
    high_pct: float | None
    as_of: date | None
    is_ready: bool
    ready_on: date | None
    word: str
    tone: str


def cohorts_with_estimates(stacks: Iterable[Stack]) -> QuerySet[Cohort]:
    """The cohorts that are in these stacks, or were when they were taken down, with their light figures."""
    standing = Q(left_at__isnull=True)
    to_the_end = Q(left_at__isnull=False, stack__taken_down_at__isnull=False)
    return (
        Cohort.objects.filter(standing | to_the_end, stack__in=[stack.pk for stack in stacks])
        .select_related("estimate")
        .defer(*(f"estimate__{name}" for name in HEAVY))
        .prefetch_related(
            Prefetch("estimate__targets", EstimateTarget.objects.filter(is_own=True), to_attr="own_targets")
        )
        .order_by("id")
    )


def cohort_moisture(cohort: Cohort) -> CohortMoisture:
    """One cohort of `cohorts_with_estimates`."""
    own = cohort.estimate.own_targets if cohort.estimate else []
    return CohortMoisture(cohort, cohort.estimate, own[0] if own else None)


def stack_moisture(cohorts: Sequence[Cohort]) -> StackMoisture:
    """The moisture of a stack from its cohorts: its wettest wood, and ready when all of it is."""
    told = [one for one in map(cohort_moisture, cohorts) if one.estimate is not None]
    if not told:
        return StackMoisture(None, None, None, None, False, None, "No estimate yet" if cohorts else "Empty", "")
    wettest = max((one.estimate for one in told), key=lambda estimate: estimate.mean_pct)
    is_ready, ready_on, word, tone = _ready(told, complete=len(told) == len(cohorts))
    return StackMoisture(
        wettest.mean_pct, wettest.mean_low_pct, wettest.mean_high_pct, wettest.as_of, is_ready, ready_on, word, tone
    )


def _ready(told: Sequence[CohortMoisture], complete: bool) -> tuple[bool, date | None, str, str]:
    if not complete:
        return False, None, "Part not estimated yet", ""
    if all(one.is_ready for one in told):
        return True, None, "Ready", "good"
    waiting = [one.own.mid_on if one.own else None for one in told if not one.is_ready]
    if None in waiting:
        return False, None, "No date in sight", "caution"
    last = max(waiting)
    return False, last, f"About {last.day} {last:%b %Y}", "info"

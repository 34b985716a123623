"""What a record changed: the estimate before it and after it, read from what is stored."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from yard.models import Cohort, Estimate, EstimateTarget, MeterReading, OvenSection, StackWeighing, Weighing
from yard.services.cohorts import with_descendants
from yard.services.estimates import estimates_refresh
from yard.services.weather import NoPlaceError
from yard.wood.ranges import OutsideRange

AnyRecord = Weighing | OvenSection | MeterReading | StackWeighing
SURE = 0.9


@dataclass(frozen=True, slots=True)
class Answer:
    """One cohort's estimate now and, where there was one, before the record came."""

    cohort: Cohort
    now: Estimate | None
    before: Estimate | None
    target: EstimateTarget | None
    target_before: EstimateTarget | None

    @property
    def ready_words(self) -> str:
        return _ready(self.target)

    @property
    def ready_words_before(self) -> str:
        return _ready(self.target_before) if self.target_before else ""

    @property
    def days_moved(self) -> int | None:
        """By how many days the likely date moved; earlier is negative."""
        if not (self.target and self.target_before and self.target.mid_on and self.target_before.mid_on):
            return None
        return (self.target.mid_on - self.target_before.mid_on).days

    def in_words(self) -> str:
        """MC now 31% (was 34%), ready about 12 May (was 20 May)."""
        if self.now is None:
            return "There is no estimate for it yet."
        was = f" (was {_mc(self.before.mean_pct)})" if self.before else ""
        ready_was = f" (was {_about(self.target_before)})" if self.target_before and self.days_moved else ""
        return f"MC now {_mc(self.now.mean_pct)}{was}, {self.ready_words}{ready_was}."


def cohorts_of(record: AnyRecord) -> list[Cohort]:
    """The cohorts whose estimates a record tells something of, those that stand today."""
    if isinstance(record, StackWeighing):
        ids = set(record.stack.cohorts.values_list("pk", flat=True))
    else:
        ids = {record.sample.cohort_id if isinstance(record, Weighing) else record.cohort_id}
    every = Cohort.objects.filter(pk__in=with_descendants(ids)).select_related("estimate", "stack__bay").order_by("pk")
    standing = [cohort for cohort in every if cohort.left_at is None]
    return standing or [cohort for cohort in every if cohort.pk in ids]


def estimates_after(*, cohorts: Iterable[Cohort], because: str) -> str:
    """Make these cohorts' estimates anew, now that something arrived; a sentence when that cannot be done."""
    try:
        estimates_refresh(cohort_ids=[cohort.pk for cohort in cohorts], because=because)
    except (NoPlaceError, OutsideRange) as error:
        return f"It is kept, but there is no estimate: {error}"
    return ""


def answers(record: AnyRecord) -> list[Answer]:
    """What the record changed, one a cohort; from stored estimates alone."""
    found = []
    for cohort in cohorts_of(record):
        earlier = Estimate.objects.filter(cohort=cohort, computed_at__lt=record.received_at).defer("path")
        before = earlier.order_by("-computed_at").first()
        now = cohort.estimate
        if now is not None and before is not None and now.pk == before.pk:
            before = None
        found.append(Answer(cohort, now, before, _own(now), _own(before)))
    return found


def _own(estimate: Estimate | None) -> EstimateTarget | None:
    return estimate.targets.filter(is_own=True).first() if estimate else None


def _ready(target: EstimateTarget | None) -> str:
    if target is None:
        return "no date for its target"
    goal = f"{target.target_mc_pct:g}%"
    if target.reached_now >= SURE:
        return f"at its target of {goal}"
    if target.mid_on is None:
        return f"not at {goal} within two years"
    return f"ready about {_about(target)}"


def _about(target: EstimateTarget) -> str:
    if target.reached_now >= SURE:
        return "ready"
    return _day(target.mid_on) if target.mid_on else "no date"


def _day(day: date) -> str:
    year = "" if abs((day - timezone.localdate()).days) < 300 else f" {day.year}"
    return f"{day.day} {day:%b}{year}"


def _mc(value: float) -> str:
    return f"{value:.{1 if value < 30 else 0}f}%"

"""What people have observed of a cohort's wood, gathered along its past and put as the estimate takes it."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from django.db.models import Q, QuerySet
from django.utils import timezone

from yard.models import Cohort, MeterReading, OvenSection, Stack, StackWeighing, Weighing
from yard.services.air_history import AirSpan
from yard.wood import observations as seen
from yard.wood.ranges import OutsideRange

USUAL_PIN_SHARE = 0.2
# of the thickness: where pins come near the mean of a board that dries normally (common practice, no source)


@dataclass
class Observed:
    """Observations for the estimate, with what was left aside and why, each with the record it came from."""

    used: list[seen.Observation] = field(default_factory=list)
    left_aside: list[str] = field(default_factory=list)
    first_weighed: date | None = None


def observed_of(cohort: Cohort, spans: Sequence[AirSpan]) -> Observed:
    """Everything observed of this wood and not voided: the cohort's own, and its forerunners' up to the restack."""
    found = Observed()
    until = _until_by_cohort(spans, cohort)
    _add_weighings(found, until)
    _add_sections(found, until)
    _add_readings(found, until, cohort)
    _add_stack_weighings(found, cohort)
    return found


def _until_by_cohort(spans: Sequence[AirSpan], cohort: Cohort) -> dict[int, datetime | None]:
    until: dict[int, datetime | None] = {span.cohort.pk: span.until for span in spans}
    until[cohort.pk] = None
    return until


def _within(until: dict[int, datetime | None], cohort_field: str, time_field: str) -> Q:
    condition = Q(pk__in=[])
    for cohort_id, end in until.items():
        one = Q(**{cohort_field: cohort_id})
        condition |= one & Q(**{f"{time_field}__lt": end}) if end else one
    return condition


def _of(model, until: dict[int, datetime | None], cohort_field: str, time_field: str) -> QuerySet:
    return model.objects.standing().filter(_within(until, cohort_field, time_field)).order_by(time_field, "pk")


def _add_weighings(found: Observed, until: dict[int, datetime | None]) -> None:
    first: dict[int, Weighing] = {}
    for weighing in _of(Weighing, until, "sample__cohort", "made_at").select_related("sample"):
        day = timezone.localdate(weighing.made_at)
        start = first.setdefault(weighing.sample_id, weighing)
        found.first_weighed = min(found.first_weighed or day, day)
        if start is weighing:
            continue
        _add(
            found, f"weighing of {weighing.sample.name} on {day}",
            lambda start=start, weighing=weighing, day=day: seen.weighing_ratio(
                first_on=timezone.localdate(start.made_at), first_lb=start.weight_lb, on=day,
                weight_lb=weighing.weight_lb, sample=weighing.sample.name,
            ),
        )  # fmt: skip


def _add_sections(found: Observed, until: dict[int, datetime | None]) -> None:
    for section in _of(OvenSection, until, "cohort", "cut_at"):
        day = timezone.localdate(section.cut_at)
        _add(
            found, f"oven section of {day}",
            lambda section=section, day=day: seen.OvenSection(day, section.mc_pct),
        )  # fmt: skip


def _add_readings(found: Observed, until: dict[int, datetime | None], cohort: Cohort) -> None:
    for reading in _of(MeterReading, until, "cohort", "made_at"):
        day = timezone.localdate(reading.made_at)
        if not reading.usable or reading.corrected_pct is None:
            found.left_aside.append(f"meter reading of {day}: {reading.why_unusable}")
            continue
        depth_in = cohort.thickness_in * USUAL_PIN_SHARE if reading.depth_in is None else reading.depth_in
        _add(
            found, f"meter reading of {day}",
            lambda reading=reading, day=day, depth_in=depth_in: seen.PinReading(
                day, min(depth_in, cohort.thickness_in / 2), reading.corrected_pct
            ),
        )  # fmt: skip


def _add_stack_weighings(found: Observed, cohort: Cohort) -> None:
    weighings = list(StackWeighing.objects.standing().filter(stack_id=cohort.stack_id).order_by("made_at", "pk"))
    if not weighings:
        return
    if cohort.stack.cohorts.count() > 1:
        found.left_aside.append(
            "whole-stack weighings: the stack holds different woods, so its weight tells of none alone"
        )
        return
    changed = _last_change(cohort.stack)
    same = [one for one in weighings if changed is None or one.made_at >= changed]
    if len(same) < len(weighings):
        found.left_aside.append("whole-stack weighings from before slabs came or went")
    for weighing in same[1:]:
        first_on, day = timezone.localdate(same[0].made_at), timezone.localdate(weighing.made_at)
        _add(
            found, f"weighing of the whole stack on {day}",
            lambda weighing=weighing, first_on=first_on, day=day: seen.StackWeighing(
                day, first_on, _net_lb(weighing) / _net_lb(same[0])
            ),
        )  # fmt: skip


def _net_lb(weighing: StackWeighing) -> float:
    return max(weighing.weight_lb - weighing.tare_lb, 1e-6)


def _last_change(stack: Stack) -> datetime | None:
    """When a slab last came into the stack or left it while it went on standing."""
    moments = [since for (since,) in stack.memberships.values_list("since")]
    moments += [
        until
        for (until,) in stack.memberships.filter(until__isnull=False).values_list("until")
        if stack.taken_down_at is None or until < stack.taken_down_at
    ]
    return max(moments, default=None)


def _add(found: Observed, name: str, make) -> None:
    """Take an observation, or say why it cannot be what it says."""
    try:
        found.used.append(make())
    except OutsideRange as refused:
        found.left_aside.append(f"{name}: {refused}")

"""Everything written down of a cohort's wood, its past before a restack too: for the list and for the chart."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeVar

from django.db.models import QuerySet
from django.utils import timezone

from yard.models import Cohort, MeterReading, OvenSection, Person, Record, Sample, StackWeighing, Weighing
from yard.services.drying_path import DryingPath
from yard.services.sample_mc import SampleDryWeight, sample_dry_weight

R = TypeVar("R", bound=Record)
MOST_OF_A_KIND = 300  # a page shows no more; an estimate takes all of them (our own limit)


@dataclass(frozen=True, slots=True)
class RecordLine:
    """One record as a line: kind (weighing, section, reading, stack-weighing), what it is of, and its MC [%].

    `mc_pct` is what it says of the wood's moisture, `by_own` whether that stands on an oven-dry weight of its
    own rather than on the estimate at the first weighing; None where it says nothing by itself.
    """

    kind: str
    pk: int
    at: datetime
    name: str
    by: Person | None
    mc_pct: float | None
    by_own: bool
    weight_lb: float | None
    depth_in: float | None
    reading_pct: float | None
    voided: bool
    void_reason: str
    aside: str
    note: str

    @property
    def day(self) -> date:
        return timezone.localdate(self.at)


@dataclass(frozen=True, slots=True)
class CohortRecords:
    """The records of a cohort, newest first, with its samples and their oven-dry weights by sample id."""

    lines: list[RecordLine]
    samples: list[Sample]
    dry: dict[int, SampleDryWeight]

    @property
    def counted(self) -> int:
        return sum(1 for one in self.lines if not one.voided and not one.aside)


def cohort_records(cohort: Cohort, chain: Sequence[Cohort], path: DryingPath | None) -> CohortRecords:
    """The records along a chain of cohorts (the first one first, `cohort` last); five queries."""
    samples = list(Sample.objects.filter(cohort__in=chain).order_by("name", "id"))
    sections = _newest(OvenSection.objects.filter(cohort__in=chain).select_related("by", "sample"), "cut_at")
    dry = {}
    for sample in samples:
        own = sample_dry_weight(sample, [one for one in sections if one.sample_id == sample.pk and not one.voided])
        if own is not None:
            dry[sample.pk] = own
    weighings = _newest(Weighing.objects.filter(sample__cohort__in=chain).select_related("by", "sample"), "made_at")
    lines = _weighing_lines(weighings, dry, path)
    lines += [_section_line(one) for one in sections]
    readings = _newest(MeterReading.objects.filter(cohort__in=chain).select_related("by", "slab"), "made_at")
    lines += [_reading_line(one) for one in readings]
    whole = StackWeighing.objects.filter(stack_id=cohort.stack_id).select_related("by")
    lines += _stack_lines(_newest(whole, "made_at"))
    lines.sort(key=lambda line: (line.at, line.pk), reverse=True)
    return CohortRecords(lines, [sample for sample in samples if sample.retired_at is None], dry)


def _newest(rows: QuerySet[R], time_field: str) -> list[R]:
    """The newest rows, the oldest of them first."""
    return list(rows.order_by(f"-{time_field}", "-id")[:MOST_OF_A_KIND])[::-1]


def _weighing_lines(
    weighings: Sequence[Weighing], dry: dict[int, SampleDryWeight], path: DryingPath | None
) -> list[RecordLine]:
    """By its own oven-dry weight where there is one; else from the estimate on the day of its first weighing."""
    first: dict[int, Weighing] = {}
    lines = []
    for one in weighings:
        mc, by_own = None, False
        if not one.voided:
            start = first.setdefault(one.sample_id, one)
            own = dry.get(one.sample_id)
            if own is not None:
                mc, by_own = own.mc_pct(one.weight_lb), True
            elif path is not None and (then := path.mid_on(timezone.localdate(start.made_at))) is not None:
                mc = (100 + then) * one.weight_lb / start.weight_lb - 100
        lines.append(_line("weighing", one, one.made_at, one.sample.name, mc, by_own, "", weight_lb=one.weight_lb))
    return lines


def _section_line(one: OvenSection) -> RecordLine:
    name = f"Oven section of {one.sample.name}" if one.sample else "Oven section"
    return _line("section", one, one.cut_at, name, one.mc_pct, True, "")


def _reading_line(one: MeterReading) -> RecordLine:
    name = f"Meter, {one.slab.tag}" if one.slab else "Meter"
    mc = one.corrected_pct if one.usable else None
    aside = "" if one.usable else one.why_unusable
    return _line(
        "reading", one, one.made_at, name, mc, True, aside, depth_in=one.depth_in, reading_pct=one.reading_pct
    )  # fmt: skip


def _stack_lines(weighings: Sequence[StackWeighing]) -> list[RecordLine]:
    return [
        _line("stack-weighing", one, one.made_at, "Whole stack", None, False, "", weight_lb=one.weight_lb - one.tare_lb)
        for one in weighings
    ]


def _line(
    kind: str, one, at: datetime, name: str, mc_pct: float | None, by_own: bool, aside: str, *,
    weight_lb: float | None = None, depth_in: float | None = None, reading_pct: float | None = None,
) -> RecordLine:  # fmt: skip
    return RecordLine(
        kind, one.pk, at, name, one.by, None if one.voided else mc_pct, by_own, weight_lb, depth_in, reading_pct,
        one.voided, one.void_reason, aside, one.note,
    )  # fmt: skip

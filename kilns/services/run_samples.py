"""The samples of a run: how wet each is by its own weights, which are due, and how fast they dry."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.utils import timezone

from kilns.models import Run
from kilns.physics.samples import RateReading, SampleReading, drying_rate, read_samples, wettest_half
from yard.models import Cohort, OvenSection, Sample, Weighing
from yard.services.sample_mc import sample_dry_weight
from yard.wood.ranges import OutsideRange
from yard.wood.species import UnknownSpecies

DUE_AFTER = timedelta(days=3)
# between two weighings of a sample in a kiln (common practice, no source)
LEAST_RATE_DAYS = 0.5
# between two weighings that a rate is taken from (our own limit: a scale's error weighs more below)


@dataclass(frozen=True)
class SampleNow:
    """A sample as of now; `by_own` when its MC stands on an oven-dry weight of its own, else on the estimate."""

    sample: Sample
    stack_tag: str
    mc_pct: float | None
    by_own: bool
    weighed_at: datetime | None
    due: bool
    rate: RateReading | None
    points: tuple[tuple[datetime, float], ...]
    decides: bool = False

    @property
    def name(self) -> str:
        return self.sample.name


@dataclass(frozen=True)
class RunSamples:
    """All samples of a run, the wettest first, and what they say together; `reading` is None without any MC.

    `woods` are what its stacks hold now, of which more samples may be named.
    """

    samples: tuple[SampleNow, ...]
    reading: SampleReading | None
    woods: tuple[Cohort, ...] = ()

    @property
    def due(self) -> list[SampleNow]:
        """Those to weigh now."""
        return [one for one in self.samples if one.due]

    @property
    def contents_pct(self) -> list[float]:
        """The MC of each that has one [%]."""
        return [one.mc_pct for one in self.samples if one.mc_pct is not None]

    @property
    def deciding(self) -> list[SampleNow]:
        """The wetter half, whose mean decides the step."""
        return [one for one in self.samples if one.decides]

    @property
    def too_fast(self) -> list[SampleNow]:
        """Those that dry faster than their wood may."""
        return [one for one in self.samples if one.rate is not None and one.rate.too_fast]


def run_samples(run: Run, *, now: datetime | None = None) -> RunSamples:
    """The samples in the cohorts of a run's stacks, as of now or of the run's end; four queries."""
    moment = run.closed_at or now or timezone.now()
    cohorts = {
        one.pk: one
        for one in Cohort.objects.filter(stack__in_runs__run=run).select_related("stack", "estimate").order_by("pk")
    }
    samples = list(Sample.objects.filter(cohort__in=cohorts, retired_at__isnull=True).order_by("name", "id"))
    sections: dict[int, list[OvenSection]] = {}
    for section in OvenSection.objects.standing().filter(sample__in=samples).order_by("cut_at", "id"):
        sections.setdefault(section.sample_id, []).append(section)
    weighings: dict[int, list[Weighing]] = {}
    for weighing in Weighing.objects.standing().filter(sample__in=samples, made_at__lte=moment).order_by("made_at"):
        weighings.setdefault(weighing.sample_id, []).append(weighing)
    found = [
        _sample_now(run, one, cohorts[one.cohort_id], sections.get(one.pk, []), weighings.get(one.pk, []), moment)
        for one in samples
    ]
    return replace(_together(found), woods=tuple(one for one in cohorts.values() if one.left_at is None))


def _sample_now(
    run: Run, sample: Sample, cohort: Cohort, sections: list[OvenSection], weighings: list[Weighing], moment: datetime
) -> SampleNow:
    own = sample_dry_weight(sample, sections)
    points = _points(cohort, own, weighings)
    last_at = weighings[-1].made_at if weighings else None
    running = run.started_at is not None and run.closed_at is None
    late = last_at is None or (run.started_at is not None and last_at < run.started_at) or moment - last_at >= DUE_AFTER
    content = points[-1][1] if points else None
    rate = _rate(cohort, points, run)
    return SampleNow(sample, cohort.stack.tag, content, own is not None, last_at, running and late, rate, tuple(points))


def _points(cohort: Cohort, own, weighings: Sequence[Weighing]) -> list[tuple[datetime, float]]:
    """MC by weighing: by the sample's own oven-dry weight, else by the estimate on the day it was first weighed."""
    if not weighings:
        return []
    if own is not None:
        pairs = [(one.made_at, own.mc_pct(one.weight_lb)) for one in weighings]
        return [(at, content) for at, content in pairs if content is not None]
    first = weighings[0]
    then = cohort.estimate.mean_on(timezone.localdate(first.made_at)) if cohort.estimate else None
    if then is None:
        return []
    return [(one.made_at, max(0.0, (100 + then) * one.weight_lb / first.weight_lb - 100)) for one in weighings]


def _rate(cohort: Cohort, points: Sequence[tuple[datetime, float]], run: Run) -> RateReading | None:
    """How fast it dried between its last two weighings in the kiln; None where they do not say."""
    inside = [one for one in points if run.started_at is not None and one[0] >= run.started_at]
    if len(inside) < 2:
        return None
    (before_at, before), (at, now) = inside[-2:]
    days = (at - before_at).total_seconds() / 86_400
    if days < LEAST_RATE_DAYS:
        return None
    try:
        return drying_rate(cohort.species_key, cohort.thickness_in, before, now, days)
    except (OutsideRange, UnknownSpecies):
        return None


def _together(found: list[SampleNow]) -> RunSamples:
    found.sort(key=lambda one: (one.mc_pct is None, -(one.mc_pct or 0.0), one.name))
    contents = [one.mc_pct for one in found if one.mc_pct is not None]
    if not contents:
        return RunSamples(tuple(found), None)
    half = len(wettest_half(contents))
    marked = tuple(replace(one, decides=place < half) for place, one in enumerate(found))
    return RunSamples(marked, read_samples(contents))

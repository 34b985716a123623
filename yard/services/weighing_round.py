"""What is worth measuring today: where a measurement would most narrow a ready date that comes soon."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import F, QuerySet
from django.utils import timezone

from yard.models import Cohort, Estimate, EstimateTarget, MeterReading, Person, Sample, Weighing
from yard.services.ready_list import HEAVY, SURE_FROM

LOOKED_THROUGH = 90  # those with the nearest dates; the rest can wait (our own limit)
RESTS_DAYS = 7  # wood measured within a week has little new to tell (our own limit)
LEAST_SHARE = 0.05
KIND_WORDS = {"weighing": "Weigh", "meter": "Meter", "oven section": "Oven section"}


@dataclass(frozen=True, slots=True)
class WorthIt:
    """One wood to measure: how, on which sample if there is one, and how much narrower its date would be."""

    cohort: Cohort
    target: EstimateTarget | None
    what: str
    how: str
    now_days: float
    after_days: float
    sample: Sample | None

    @property
    def kind_words(self) -> str:
        return KIND_WORDS.get(self.what, self.what)

    @property
    def saved_days(self) -> float:
        return max(0.0, self.now_days - self.after_days)

    @property
    def code(self) -> str:
        """The label to go to: the sample's, else the stack's."""
        return self.sample.code if self.sample else self.cohort.stack.code

    @property
    def why(self) -> str:
        return f"narrows the date from {self.now_days:.0f} to about {self.after_days:.0f} days"


def worth_weighing(most: int = 8) -> list[WorthIt]:
    """The measurements that would tell most, those of the nearest dates; a fixed number of queries."""
    nearest = list(_targets().values_list("pk", "estimate_id", "estimate__cohort_id")[:LOOKED_THROUGH])
    rested = _measured_lately([cohort_id for _pk, _estimate, cohort_id in nearest])
    asked = {estimate_id: pk for pk, estimate_id, cohort_id in nearest if cohort_id not in rested}
    narrowing = Estimate.objects.filter(pk__in=asked).values_list("pk", "narrow")
    best = [(way, asked[pk]) for pk, narrow in narrowing if (way := _best(narrow)) is not None]
    best.sort(key=lambda pair: (-_saved_days(pair[0]), pair[1]))
    rows = EstimateTarget.objects.select_related("estimate__cohort__stack__bay")
    light = rows.defer(*(f"estimate__{name}" for name in HEAVY))
    targets = light.in_bulk([pk for _way, pk in best[:most]])
    samples = _samples([target.estimate.cohort_id for target in targets.values()])
    return [_worth(way, targets[pk], samples) for way, pk in best[:most]]


def _worth(way: dict[str, Any], target: EstimateTarget, samples: dict[int, Sample]) -> WorthIt:
    cohort = target.estimate.cohort
    sample = samples.get(cohort.pk) if way["what"] == "weighing" else None
    now, after = way["interval_now_days"], way["interval_after_days"]
    return WorthIt(cohort, target, way["what"], way["how"], now, after, sample)


def _saved_days(way: dict[str, Any]) -> float:
    return way["interval_now_days"] - way["interval_after_days"]


def recently_weighed(*, by: Person, most: int = 6) -> list[Weighing]:
    """The samples that this person weighed last, each once."""
    newest = Weighing.objects.filter(by=by).order_by("-id").select_related("sample__cohort__stack")[: most * 3]
    once: dict[int, Weighing] = {}
    for weighing in newest:
        once.setdefault(weighing.sample_id, weighing)
    return list(once.values())[:most]


def _targets() -> QuerySet[EstimateTarget]:
    """Own targets of standing wood that lie ahead, the nearest first."""
    return EstimateTarget.objects.filter(
        is_own=True, reached_now__lt=SURE_FROM, estimate__is_current=True, estimate__cohort__left_at__isnull=True
    ).order_by(F("mid_on").asc(nulls_last=True), "id")


def _measured_lately(cohort_ids: list[int]) -> set[int]:
    """Those of these cohorts that somebody weighed or metered within a week: two queries."""
    since = timezone.now() - timedelta(days=RESTS_DAYS)
    weighed = Weighing.objects.standing().filter(sample__cohort__in=cohort_ids, made_at__gte=since)
    metered = MeterReading.objects.standing().filter(cohort__in=cohort_ids, usable=True, made_at__gte=since)
    return {*weighed.values_list("sample__cohort_id", flat=True), *metered.values_list("cohort_id", flat=True)}


def _samples(cohort_ids: Iterable[int]) -> dict[int, Sample]:
    """The sample to weigh of each cohort: the one that was begun last."""
    rows = Sample.objects.filter(cohort__in=list(cohort_ids), retired_at__isnull=True).order_by("id")
    return {sample.cohort_id: sample for sample in rows}


def _best(narrow: list[dict[str, Any]]) -> dict[str, Any] | None:
    """The measurement that narrows most, where it narrows at all."""
    able = [one for one in narrow if one.get("saved_share", 0) >= LEAST_SHARE]
    return max(able, key=lambda one: one["saved_share"], default=None)

"""What is worth measuring today: where a measurement would most narrow a ready date that comes soon."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Exists, F, OuterRef, Q
from django.utils import timezone

from yard.models import Cohort, EstimateTarget, MeterReading, Person, Sample, Weighing

LOOKED_THROUGH = 60  # those with the nearest dates; the rest can wait (our own limit)
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
    targets = list(_targets()[:LOOKED_THROUGH])
    samples = _samples([target.estimate.cohort_id for target in targets])
    found = []
    for target in targets:
        cohort = target.estimate.cohort
        best = _best(target.estimate.narrow)
        if best is None:
            continue
        sample = samples.get(cohort.pk) if best["what"] == "weighing" else None
        found.append(
            WorthIt(
                cohort,
                target,
                best["what"],
                best["how"],
                best["interval_now_days"],
                best["interval_after_days"],
                sample,
            )
        )
    found.sort(key=lambda one: -one.saved_days)
    return found[:most]


def recently_weighed(*, by: Person, most: int = 6) -> list[Weighing]:
    """The samples that this person weighed last, each once."""
    newest = Weighing.objects.filter(by=by).order_by("-id").select_related("sample__cohort__stack")[: most * 3]
    once: dict[int, Weighing] = {}
    for weighing in newest:
        once.setdefault(weighing.sample_id, weighing)
    return list(once.values())[:most]


def _targets():
    """Own targets that lie ahead, the nearest first, of standing wood that nobody measured within a week."""
    since = timezone.now() - timedelta(days=RESTS_DAYS)
    cohort = OuterRef("estimate__cohort")
    weighed = Weighing.objects.standing().filter(sample__cohort=cohort, made_at__gte=since)
    metered = MeterReading.objects.standing().filter(cohort=cohort, usable=True, made_at__gte=since)
    ahead = Q(reached_now__lt=0.9)
    return (
        EstimateTarget.objects.filter(
            ahead, ~Exists(weighed), ~Exists(metered), is_own=True, estimate__is_current=True,
            estimate__cohort__left_at__isnull=True,
        )
        .select_related("estimate__cohort__stack__bay")
        .defer("estimate__path", "estimate__inputs", "estimate__posterior", "estimate__reasons")
        .order_by(F("mid_on").asc(nulls_last=True), "id")
    )  # fmt: skip


def _samples(cohort_ids: Iterable[int]) -> dict[int, Sample]:
    """The sample to weigh of each cohort: the one that was begun last."""
    rows = Sample.objects.filter(cohort__in=list(cohort_ids), retired_at__isnull=True).order_by("id")
    return {sample.cohort_id: sample for sample in rows}


def _best(narrow: list[dict]) -> dict | None:
    """The measurement that narrows most, where it narrows at all."""
    able = [one for one in narrow if one.get("saved_share", 0) >= LEAST_SHARE]
    return max(able, key=lambda one: one["saved_share"], default=None)

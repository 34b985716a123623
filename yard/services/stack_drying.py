"""All that a stack's page says of drying: one of its woods, with curve, dates, records and what to do next."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from yard.models import Cohort, Estimate, EstimateTarget, Sample, Stack
from yard.services.air_history import cohort_chain
from yard.services.cohort_records import CohortRecords, cohort_records
from yard.services.drying_curve import CurveRow, curve_data, curve_rows, curve_words, target_words
from yard.services.drying_path import drying_path
from yard.services.drying_risk import dries_too_fast
from yard.services.estimate_working import EstimateWorking, estimate_working

LEAST_SHARE = 0.02  # of the date's interval: what narrows it by less is not worth a walk (our own limit)


@dataclass
class CohortDrying:
    """One wood of a stack as its page shows it; without an estimate only the records."""

    cohort: Cohort
    records: CohortRecords
    estimate: Estimate | None = None
    targets: list[EstimateTarget] = field(default_factory=list)
    own: EstimateTarget | None = None
    curve: dict[str, Any] | None = None
    rows: list[CurveRow] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    working: EstimateWorking | None = None

    @property
    def narrowing(self) -> list[dict[str, Any]]:
        """What would narrow the date, most first; those that would not are left out."""
        if self.estimate is None:
            return []
        return [one for one in self.estimate.narrow if one.get("saved_share", 0) >= LEAST_SHARE]

    @property
    def target_lines(self) -> list[tuple[EstimateTarget, str]]:
        return [(one, target_words(one)) for one in self.targets]

    @property
    def rate_abs(self) -> float:
        """How much MC it loses, or takes up, a day [%]."""
        return abs(self.estimate.rate_pct_day) if self.estimate else 0.0

    @property
    def too_fast(self) -> bool:
        """Whether it dries faster than is safe, while that still matters."""
        return self.estimate is not None and dries_too_fast(self.estimate)

    @property
    def sample_to_weigh(self) -> Sample | None:
        return self.records.samples[-1] if self.records.samples else None


@dataclass
class StackDrying:
    """The woods of a stack as tabs, and the chosen one."""

    stack: Stack
    cohorts: list[Cohort]
    chosen: CohortDrying | None


def stack_drying(stack: Stack, cohorts: Sequence[Cohort], wood: str = "") -> StackDrying:
    """The drying of one cohort of a stack, the one asked for by its id, else the first; a fixed number of queries."""
    listed = list(cohorts)
    asked = next((one for one in listed if str(one.pk) == wood), listed[0] if listed else None)
    return StackDrying(stack, listed, cohort_drying(asked) if asked else None)


def cohort_drying(cohort: Cohort) -> CohortDrying:
    """The drying of one cohort, with everything of its past."""
    chain = cohort_chain(cohort)
    estimate = Estimate.objects.filter(pk=cohort.estimate_id).first() if cohort.estimate_id else None
    path = drying_path(estimate)
    records = cohort_records(cohort, chain, path)
    if estimate is None or path is None:
        return CohortDrying(cohort, records, estimate)
    targets = list(estimate.targets.order_by("-target_mc_pct"))
    own = next((one for one in targets if one.is_own), None)
    return CohortDrying(
        cohort, records, estimate, targets, own, curve_data(path, targets, records, own), curve_rows(path, own),
        curve_words(cohort, estimate, path, own), estimate_working(estimate),
    )  # fmt: skip

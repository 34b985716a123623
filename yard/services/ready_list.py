"""The list of what is ready for the kiln and what comes next: stored estimates filtered, counted and sorted."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, Exists, F, FilteredRelation, Max, OuterRef, Q, QuerySet, Sum
from django.db.models.functions import Lower

from yard.models import Bay, Cohort, Estimate, Slab
from yard.services.estimates import USUAL_TARGETS_PCT

READY, SOON, LATER, AT_RISK = "ready", "soon", "later", "risk"
READY_FROM, SURE_FROM = 0.5, 0.9  # probability that the target is reached: more likely than not; nine in ten
SOON_DAYS = 60  # dates up to so far ahead are worth planning for (our own limit)
HEAVY = ("path", "posterior", "inputs", "narrow", "reasons", "conflicts")
SORTS = {
    "date": [F("mid_on").asc(nulls_last=True), F("estimate__mean_pct").asc(nulls_last=True)],
    "mc": [F("estimate__mean_pct").asc(nulls_last=True)],
    "stack": [Lower("stack__tag")],
    "species": ["species_key", F("mid_on").asc(nulls_last=True)],
}


@dataclass(frozen=True)
class Wanted:
    """What of the list is wanted; empty fields want everything. `target_pct` None: each stack's own target."""

    target_pct: float | None = None
    species_key: str = ""
    quarters: float | None = None
    bay: Bay | None = None
    sort: str = ""


@dataclass(frozen=True, slots=True)
class ReadyRow:
    """A wood of a stack as the list shows it."""

    cohort: Cohort
    pieces: int
    footage_bf: float
    quarters: float | None

    @property
    def is_ready(self) -> bool:
        return self.cohort.reached_now is not None and self.cohort.reached_now >= READY_FROM

    @property
    def confidence(self) -> str:
        """How sure that is, where there is something to be sure of."""
        return confidence_words(self.cohort) if self.is_ready or self.cohort.mid_on else ""

    @property
    def why(self) -> str:
        """What the estimate stands on, its first reason."""
        reasons = self.cohort.estimate.reasons if self.cohort.estimate else []
        return reasons[0] if reasons else ""


def standing_wood(wanted: Wanted) -> QuerySet[Cohort]:
    """Standing cohorts with the wanted target's `goal_pct`, `reached_now`, `low_on`, `mid_on` and `high_on`."""
    if wanted.target_pct is None:
        condition = Q(estimate__targets__is_own=True)
    else:
        condition = Q(estimate__targets__target_mc_pct=wanted.target_pct)
    rows = Cohort.objects.filter(left_at__isnull=True, stack__taken_down_at__isnull=True).annotate(
        target=FilteredRelation("estimate__targets", condition=condition),
        goal_pct=F("target__target_mc_pct"),
        reached_now=F("target__reached_now"),
        low_on=F("target__low_on"),
        mid_on=F("target__mid_on"),
        high_on=F("target__high_on"),
        goal_reason=F("target__reason"),
    )
    if wanted.species_key:
        rows = rows.filter(species_key=wanted.species_key)
    if wanted.quarters is not None:
        slabs = Slab.objects.filter(cohort=OuterRef("pk"), stack__isnull=False, quarters=wanted.quarters)
        rows = rows.filter(Exists(slabs))
    if wanted.bay is not None:
        rows = rows.filter(stack__bay=wanted.bay)
    return rows


def on_tab(tab: str, today: date) -> Q:
    """What belongs on a tab, as a condition on `standing_wood`."""
    soon_until = today + timedelta(days=SOON_DAYS)
    if tab == READY:
        return Q(reached_now__gte=READY_FROM)
    if tab == SOON:
        return Q(reached_now__lt=READY_FROM, mid_on__lte=soon_until)
    no_date, far = Q(mid_on__isnull=True), Q(mid_on__gt=soon_until)
    return Q(reached_now__isnull=True) | Q(no_date | far, reached_now__lt=READY_FROM)


def ready_found(wanted: Wanted, tab: str, today: date) -> QuerySet[Cohort]:
    """The woods of a tab in the wanted order."""
    return standing_wood(wanted).filter(on_tab(tab, today)).order_by(*SORTS.get(wanted.sort, SORTS["date"]), "pk")


def with_stack_and_estimate(ids: Iterable[int], rows: QuerySet[Cohort]) -> list[Cohort]:
    """The woods of one page, given by their ids in order, whole: a list is sorted faster by its ids alone."""
    listed = list(ids)
    light = rows.order_by().select_related("estimate", "stack__bay").defer(*(f"estimate__{name}" for name in HEAVY))
    found = {one.pk: one for one in light.filter(pk__in=listed)}
    return [found[pk] for pk in listed if pk in found]


def tab_counts(wanted: Wanted, today: date, at_risk: Q) -> dict[str, int]:
    """How many woods are on each tab; what is at risk goes by each stack's own target. Two queries."""
    tabs = {tab: Count("pk", filter=on_tab(tab, today)) for tab in (READY, SOON, LATER)}
    return standing_wood(wanted).aggregate(**tabs) | {AT_RISK: _own(wanted).filter(at_risk).count()}


def _own(wanted: Wanted) -> QuerySet[Cohort]:
    return standing_wood(replace(wanted, target_pct=None))


def ready_rows(ids: Iterable[int], wanted: Wanted) -> list[ReadyRow]:
    """The woods of a page with how much wood each is and what its estimate says: three queries for all of them."""
    listed = with_stack_and_estimate(ids, standing_wood(wanted))
    estimate_words(listed)
    sums: dict[int, dict[str, Any]] = {
        row["cohort"]: row
        for row in Slab.objects.filter(cohort__in=[one.pk for one in listed], stack__isnull=False)
        .values("cohort")
        .annotate(pieces=Sum("count"), footage=Sum("green_bf"), nominal=Max("quarters"))
    }
    nothing = {"pieces": 0, "footage": 0.0, "nominal": None}
    found = [(one, sums.get(one.pk, nothing)) for one in listed]
    return [ReadyRow(one, wood["pieces"], wood["footage"], wood["nominal"]) for one, wood in found]


def estimate_words(cohorts: Iterable[Cohort]) -> None:
    """Fetch the words of the estimates of a page's cohorts; sorting the whole list goes without them."""
    estimates = {one.estimate_id: one.estimate for one in cohorts if one.estimate_id}
    rows = Estimate.objects.filter(pk__in=estimates).values_list("pk", "reasons", "conflicts")
    for pk, reasons, conflicts in rows:
        estimates[pk].reasons, estimates[pk].conflicts = reasons, conflicts


def confidence_words(row: Any) -> str:
    """How sure the date or the readiness is, in words; of a row with `reached_now`, `low_on` and `high_on`."""
    if row.reached_now >= READY_FROM:
        words = "sure" if row.reached_now >= SURE_FROM else "likely"
        return f"{words}: {_out_of_ten(row.reached_now)}"
    if row.mid_on is None:
        return "not in sight"
    if row.high_on is None or row.low_on is None:
        return "rough: no latest date"
    days = (row.high_on - row.low_on).days
    if days <= 21:
        return f"close: within {days} days"
    return f"{'fair' if days <= 60 else 'rough'}: within {days} days"


def _out_of_ten(share: float) -> str:
    tenths = min(9, int(share * 10 + 1e-9))
    return "over 9 in 10" if share >= 0.95 else f"{tenths} in 10"


TARGET_CHOICES = USUAL_TARGETS_PCT

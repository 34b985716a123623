"""Finding stacks: filters, order, the rows of a page in a fixed number of queries, columns of the spreadsheet."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Exists, F, Max, OuterRef, Q, QuerySet, Subquery, Sum
from django.utils import timezone

from yard import quantities
from yard.models import Bay, BayKind, Cohort, EstimateTarget, Membership, Stack
from yard.services.exports import Column
from yard.services.stack_moisture import READY_FROM, StackMoisture, cohorts_with_estimates, stack_moisture
from yard.wood.species import UnknownSpecies, find_species, species

STANDING, DOWN, ALL = "standing", "down", "all"
STATES = {STANDING: Q(taken_down_at__isnull=True), DOWN: Q(taken_down_at__isnull=False), ALL: Q()}
READY_NOW, READY_SOON, READY_LATER, NOT_ESTIMATED = "now", "soon", "later", "unknown"
SOON_DAYS = 30
ORDERS = {
    "newest": ("-built_on", "-id"),
    "oldest": ("built_on", "id"),
    "ready": (F("ready_on").asc(nulls_last=True), F("wettest_pct").asc(nulls_last=True), "id"),
    "driest": (F("wettest_pct").asc(nulls_last=True), "id"),
    "wettest": (F("wettest_pct").desc(nulls_last=True), "id"),
    "bay": (F("bay__name").asc(nulls_last=True), "tag"),
    "tag": ("tag", "id"),
}
NEEDS_MOISTURE = frozenset({"ready", "driest", "wettest"})


@dataclass(frozen=True, slots=True)
class StackRow:
    """A stack as a list shows it."""

    stack: Stack
    species_keys: tuple[str, ...]
    thicknesses_in: tuple[float, ...]
    pieces: int
    footage_bf: float
    moisture: StackMoisture

    @property
    def wood(self) -> str:
        """The woods in words: "white oak, black walnut"; "empty" when there is none."""
        return ", ".join(_plain_name(key) for key in self.species_keys) or "empty"

    @property
    def about(self) -> str:
        """Wood and footage in a few words, in the reader's units."""
        footage = quantities.bf(self.footage_bf).replace(" ", "\u00a0")
        return f"{self.wood}, {footage}" if self.footage_bf else self.wood

    @property
    def thicknesses(self) -> str:
        """The thicknesses in words, in the reader's units."""
        return ", ".join(quantities.thickness(thick) for thick in self.thicknesses_in)


def stacks_found(
    *,
    state: str = STANDING,
    words: str = "",
    species_key: str = "",
    bay: int | None = None,
    ready: str = "",
    order: str = "",
    today: date | None = None,
) -> QuerySet[Stack]:
    """Stacks by state, by words in tag, code, bay, wood or a slab's tag, by bay and by when they are ready."""
    found = Stack.objects.filter(STATES.get(state, STATES[STANDING]))
    for word in words.split()[:6]:
        found = found.filter(_has_word(word))
    if species_key:
        found = found.filter(_cohorts(Q(species_key=species_key)))
    if bay is not None:
        found = found.filter(bay=bay)
    if ready:
        found = _by_readiness(found, ready, today or timezone.localdate())
    if order in NEEDS_MOISTURE:
        found = with_moisture(found)
    return found.select_related("bay").order_by(*ORDERS.get(order, ORDERS["newest"]))


def stack_rows(stacks: Sequence[Stack]) -> list[StackRow]:
    """The rows of these stacks: three queries, however many there are."""
    tallies = {row["stack"]: row for row in _tallies(stacks)}
    cohorts: dict[int, list[Cohort]] = {stack.pk: [] for stack in stacks}
    for cohort in cohorts_with_estimates(stacks):
        cohorts[cohort.stack_id].append(cohort)
    return [_row(stack, cohorts[stack.pk], tallies.get(stack.pk, {})) for stack in stacks]


def _row(stack: Stack, cohorts: Sequence[Cohort], tally: dict) -> StackRow:
    return StackRow(
        stack=stack,
        species_keys=tuple(dict.fromkeys(cohort.species_key for cohort in cohorts)),
        thicknesses_in=tuple(sorted({round(cohort.thickness_in * 16) / 16 for cohort in cohorts})),
        pieces=tally.get("pieces") or 0,
        footage_bf=tally.get("footage_bf") or 0.0,
        moisture=stack_moisture(cohorts),
    )


IN_IT = Q(until__isnull=True) | Q(until=F("stack__taken_down_at"))  # at the end, for a stack taken down


def _tallies(stacks: Sequence[Stack]):
    rows = Membership.objects.filter(IN_IT, stack__in=[stack.pk for stack in stacks])
    return rows.values("stack").annotate(pieces=Sum("slab__count"), footage_bf=Sum("slab__green_bf")).order_by()


def with_moisture(found: QuerySet[Stack]) -> QuerySet[Stack]:
    """Stacks with `wettest_pct` and `ready_on` for sorting and for the spreadsheet."""
    inside = Cohort.objects.filter(stack=OuterRef("pk"), left_at__isnull=True).order_by().values("stack")
    own = EstimateTarget.objects.filter(
        is_own=True, estimate__is_current=True, estimate__cohort__stack=OuterRef("pk"),
        estimate__cohort__left_at__isnull=True,
    ).order_by().values("estimate__cohort__stack")  # fmt: skip
    return found.annotate(
        wettest_pct=Subquery(inside.annotate(most=Max("estimate__mean_pct")).values("most")),
        ready_on=Subquery(own.annotate(last=Max("mid_on")).values("last")),
    )


def _by_readiness(found: QuerySet[Stack], ready: str, today: date) -> QuerySet[Stack]:
    """Stacks all of whose cohorts are ready, will be within a month, later, or are not estimated in part."""
    unknown = _cohorts(Q(estimate__isnull=True))
    if ready == NOT_ESTIMATED:
        return found.filter(unknown)
    not_ready = _cohorts(~Exists(_own_targets(Q(reached_now__gte=READY_FROM))))
    soon = Q(reached_now__gte=READY_FROM) | Q(mid_on__lte=today + timedelta(days=SOON_DAYS))
    not_soon = _cohorts(~Exists(_own_targets(soon)))
    known = found.filter(~unknown, _cohorts(Q()))
    if ready == READY_NOW:
        return known.filter(~not_ready)
    if ready == READY_SOON:
        return known.filter(not_ready, ~not_soon)
    return known.filter(not_soon) if ready == READY_LATER else found


def _own_targets(condition: Q) -> QuerySet[EstimateTarget]:
    return EstimateTarget.objects.filter(condition, is_own=True, estimate=OuterRef("estimate"))


def _cohorts(condition: Q | Exists) -> Exists:
    """Whether a stack has a cohort in it (in its last state, if taken down) of which the condition is true."""
    inside = Q(left_at__isnull=True) | Q(stack__taken_down_at__isnull=False)
    return Exists(Cohort.objects.filter(inside, condition, stack=OuterRef("pk")))


def _has_word(word: str) -> Q:
    keys = [
        wood.key for wood in find_species(word) if word.lower() in f"{wood.common_name} {wood.botanical_name}".lower()
    ]
    slab = Membership.objects.filter(until__isnull=True, slab__tag__iexact=word, stack=OuterRef("pk"))
    said = Q(tag__icontains=word) | Q(code__iexact=word) | Q(bay__name__icontains=word) | Q(Exists(slab))
    return said | Q(_cohorts(Q(species_key__in=keys))) if keys else said


def for_export(found: QuerySet[Stack]) -> QuerySet[Stack]:
    """The same stacks with what the spreadsheet's columns need."""
    inside = Membership.objects.filter(IN_IT, stack=OuterRef("pk")).order_by().values("stack")
    first = Cohort.objects.filter(stack=OuterRef("pk"), left_at__isnull=True).order_by("id")
    return with_moisture(found).annotate(
        pieces=Subquery(inside.annotate(sum=Sum("slab__count")).values("sum")),
        footage_bf=Subquery(inside.annotate(sum=Sum("slab__green_bf")).values("sum")),
        first_species=Subquery(first.values("species_key")[:1]),
    )


def _plain_name(key: str) -> str:
    """A wood as spoken; a key that the table lost stays as it is."""
    try:
        return species(key).plain_name
    except UnknownSpecies:
        return key


def _kind(value: str | None) -> str:
    return BayKind(value).label if value else ""


COLUMNS = (
    Column("Tag", "tag"),
    Column("Code", "code"),
    Column("Bay", "bay__name"),
    Column("Kind of bay", "bay__kind", _kind),
    Column("Built", "built_on"),
    Column("Taken down", "taken_down_at"),
    Column("Species (first)", "first_species"),
    Column("Pieces", "pieces"),
    Column("Footage (bf)", "footage_bf"),
    Column("MC of the wettest wood (%)", "wettest_pct"),
    Column("Ready about", "ready_on"),
    Column("Target MC (%)", "target_mc_pct"),
    Column("Sticker (in)", "sticker_in"),
    Column("Sticker spacing (in)", "sticker_spacing_in"),
    Column("Width (ft)", "width_ft"),
    Column("Length (ft)", "length_ft"),
    Column("Covered", "covered"),
    Column("Weight on top (lb)", "top_weight_lb"),
    Column("Note", "note"),
)


def bays_open() -> QuerySet[Bay]:
    """Bays in use, by name."""
    return Bay.objects.filter(closed_on__isnull=True).order_by("name")


def bays_with_room() -> list[Bay]:
    """Bays in use, each with `standing`, how many stacks stand there now."""
    counted = Count("stacks_now", filter=Q(stacks_now__taken_down_at__isnull=True))
    return list(bays_open().annotate(standing=counted))

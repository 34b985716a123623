"""Finding slabs: everything they can be narrowed to and sorted by, quick at 50,000 of them.

A page costs two queries whatever is asked, and the whole is never counted: "more than 1,000" where it is more.
Where a filter is written in a way that looks odd (`~Q(state__in=...)`), it keeps SQLite on the index of the order.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.db import connection
from django.db.models import Case, F, Q, QuerySet, When
from django.db.models.functions import Lower

from yard.models import GONE, Bay, Cohort, Contact, Log, Slab, SlabKind, SlabState, Stack
from yard.services.exports import Column
from yard.services.stack_moisture import HEAVY
from yard.wood.species import Species, all_species, find_species

COUNTED_UP_TO = 1000
LAST_PAGE = 1000  # further on a filter finds things sooner
MOST_WORDS = 6
STANDING, FOR_SALE, GONE_STATES, ALL = "standing", "for_sale", "gone", "all"
FEATURES = ("crotch", "wane", "knots", "checks", "pith")
NOT_DRYING = [state for state in SlabState.values if state not in (SlabState.STACKED, SlabState.KILN)]
NEWEST = ("-sawn_on", "-id")
ORDERS: dict[str, tuple[Any, ...]] = {
    "": NEWEST,
    "oldest": ("sawn_on", "id"),
    "tag": (Lower("tag"),),
    "widest": ("-mean_width_in", "-id"),
    "narrowest": ("mean_width_in", "id"),
    "longest": ("-length_in", "-id"),
    "shortest": ("length_in", "id"),
    "driest": ("cohort__estimate__mean_pct", "id"),
    "wettest": ("-cohort__estimate__mean_pct", "-id"),
    "dearest": ("-price", "-id"),
    "cheapest": ("price", "id"),
}


@dataclass(frozen=True, slots=True)
class SlabsAsked:
    """What was asked for; empty values ask for nothing. Sizes in inches, MC in percent."""

    words: str = ""
    state: str = STANDING
    species_key: str = ""
    quarters: tuple[float, ...] = ()
    kind: str = ""
    width_from_in: float | None = None
    width_to_in: float | None = None
    length_from_in: float | None = None
    length_to_in: float | None = None
    mc_from_pct: float | None = None
    mc_to_pct: float | None = None
    bay: Bay | None = None
    stack: Stack | None = None
    log: Log | None = None
    whose: str = ""  # ours, others
    owner: Contact | None = None
    price_from: Decimal | None = None
    price_to: Decimal | None = None
    figure: str = ""
    features: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    matched_set: str = ""
    grade: str = ""
    order: str = field(default="")


def slabs_found(asked: SlabsAsked) -> QuerySet[Slab]:
    """Slabs like that, in the order asked for."""
    found = Slab.objects.filter(_of_state(asked.state), *_sizes(asked), *_where(asked), *_what(asked))
    for word in asked.words.split()[:MOST_WORDS]:
        found = found.filter(_has_word(word))
    if asked.order in ("driest", "wettest"):
        found = found.filter(~Q(state__in=NOT_DRYING), cohort__estimate__is_current=True)
    if asked.order in ("dearest", "cheapest"):
        found = found.filter(price__isnull=False)
    return found.order_by(*ORDERS.get(asked.order, NEWEST))


def slab_rows(ids: Sequence[int]) -> list[Slab]:
    """These slabs in this order, each with its log, owner, stack, bay and estimate: one query."""
    rows = Slab.objects.filter(pk__in=ids).select_related("log", "owner", "stack__bay", "bay", "cohort__estimate")
    rows = rows.defer(*(f"cohort__estimate__{name}" for name in HEAVY))
    by_id = {slab.pk: slab for slab in rows}
    return [by_id[pk] for pk in ids if pk in by_id]


@dataclass(frozen=True, slots=True)
class SlabPage:
    """One page of what was found, and how many there are, counted no further than a thousand."""

    rows: list[Slab]
    number: int
    has_next: bool
    found: int

    def __iter__(self) -> Iterator[Slab]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def has_previous(self) -> bool:
        return self.number > 1

    @property
    def has_other_pages(self) -> bool:
        return self.has_previous or self.has_next

    @property
    def previous_page_number(self) -> int:
        return self.number - 1

    @property
    def next_page_number(self) -> int:
        return self.number + 1

    @property
    def found_words(self) -> str:
        """How many, in words: "712 pieces", "more than 1,000 pieces"."""
        if self.found > COUNTED_UP_TO:
            return f"more than {COUNTED_UP_TO:,} pieces"
        return f"{self.found:,} piece{'' if self.found == 1 else 's'}"


def slab_page(found: QuerySet[Slab], number: int, size: int) -> SlabPage:
    """A page of the list by two queries: one walk over an index for ids and count, one for the rows shown."""
    number = max(1, min(number, LAST_PAGE))
    start, ids = (number - 1) * size, found.values_list("pk", flat=True)
    if start + size <= COUNTED_UP_TO:
        near = list(ids[: COUNTED_UP_TO + 1])
        return SlabPage(slab_rows(near[start : start + size]), number, len(near) > start + size, len(near))
    far = list(ids[start : start + size + 1])
    return SlabPage(slab_rows(far[:size]), number, len(far) > size and number < LAST_PAGE, COUNTED_UP_TO + 1)


def species_there() -> list[str]:
    """The keys of the species of which the yard has a slab, by looking each up in the index once."""
    keys = [row.key for row in all_species()]
    rows = ", ".join(["(%s)"] * len(keys))
    sql = (
        f"SELECT column1 FROM (VALUES {rows}) AS woods "
        "WHERE EXISTS (SELECT 1 FROM yard_slab WHERE species_key = woods.column1)"
    )
    with connection.cursor() as cursor:
        cursor.execute(sql, keys)
        return [key for (key,) in cursor.fetchall()]


def _of_state(state: str) -> Q:
    if state == ALL:
        return ~Q(state=SlabState.VOID)
    if state == FOR_SALE:
        return Q(state=SlabState.DRY, hold_back=False, owner__isnull=True)
    if state == GONE_STATES:
        return Q(state__in=[SlabState.SOLD, SlabState.RETURNED, SlabState.SPLIT])
    if state in SlabState.values:
        return Q(state=state)
    return ~Q(state__in=GONE)


def _between(name: str, low: Any, high: Any) -> list[Q]:
    bounds = (("gte", low), ("lte", high))
    return [Q(**{f"{name}__{side}": bound}) for side, bound in bounds if bound is not None]


def _sizes(asked: SlabsAsked) -> list[Q]:
    wanted = _between("mean_width_in", asked.width_from_in, asked.width_to_in)
    wanted += _between("length_in", asked.length_from_in, asked.length_to_in)
    wanted += _between("price", asked.price_from, asked.price_to)
    if asked.quarters:
        wanted.append(Q(quarters__in=asked.quarters))
    return wanted


def _where(asked: SlabsAsked) -> list[Q]:
    wanted = []
    if asked.bay:
        stacks = Stack.objects.filter(bay=asked.bay, taken_down_at__isnull=True).values("pk")
        wanted.append(Q(stack__in=stacks) | Q(bay=asked.bay, stack__isnull=True))
    if asked.stack:
        wanted.append(Q(stack=asked.stack))
    if asked.mc_from_pct is not None or asked.mc_to_pct is not None:
        likely = _between("estimate__mean_pct", asked.mc_from_pct, asked.mc_to_pct)
        measured = _between("dry_mc_pct", asked.mc_from_pct, asked.mc_to_pct)
        in_stacks = Q(stack__isnull=False, cohort__in=Cohort.objects.filter(*likely).values("pk"))
        wanted.append(in_stacks | Q(*measured, stack__isnull=True, dry_mc_pct__isnull=False))
    return wanted


def _what(asked: SlabsAsked) -> list[Q]:
    same = {"species_key": asked.species_key, "kind": asked.kind, "matched_set": asked.matched_set}
    wanted = [Q(**{name: value}) for name, value in same.items() if value]
    wanted += [Q(**{f"has_{feature}": True}) for feature in asked.features if feature in FEATURES]
    wanted += [Q(**{f"has_{feature}": False}) for feature in asked.without if feature in FEATURES]
    if asked.owner:
        wanted.append(Q(owner=asked.owner))
    elif asked.whose in ("ours", "others"):
        wanted.append(Q(owner__isnull=asked.whose == "ours"))
    if asked.figure == "any":
        wanted.append(~Q(figure=""))
    elif asked.figure:
        wanted.append(Q(figure__icontains=asked.figure))
    if asked.grade:
        wanted.append(Q(grade__iexact=asked.grade))
    if asked.log:
        wanted.append(Q(log=asked.log))
    return wanted


def _has_word(word: str) -> Q:
    """A word in the tag, code, note, figure, set or grade, or one that begins a name of its species."""
    woods = [wood.key for wood in find_species(word) if _is_named(wood, word.lower())] if len(word) >= 3 else []
    in_text = Q(tag__icontains=word) | Q(note__icontains=word) | Q(figure__icontains=word)
    in_text |= Q(matched_set__icontains=word) | Q(grade__iexact=word) | Q(code__iexact=word)
    return in_text | Q(species_key__in=woods) if woods else in_text


def _is_named(wood: Species, word: str) -> bool:
    names = " ".join((wood.common_name, wood.botanical_name, *wood.other_names)).lower()
    return any(part.startswith(word) for part in names.replace(",", " ").split())


COLUMNS = (
    Column("Tag", "tag"),
    Column("Code", "code"),
    Column("Species", "species_key"),
    Column("Log", "log__tag"),
    Column("Place in the log", "position"),
    Column("Kind", "kind", lambda kind: SlabKind(kind).label),
    Column("How many pieces", "count"),
    Column("Quarters", "quarters"),
    Column("Thickness (in)", "thickness_in"),
    Column("Widths (in)", "widths_in", lambda widths: "; ".join(f"{width:g}" for width in widths)),
    Column("Mean width (in)", "mean_width_in"),
    Column("Length (in)", "length_in"),
    Column("Green tally (bf)", "green_bf"),
    Column("Dry tally (bf)", "net_bf"),
    Column("State", "state", lambda state: SlabState(state).label),
    Column("Stack", "stack__tag"),
    Column("Bay of the stack", "stack__bay__name"),
    Column("Bay", "bay__name"),
    Column("MC by estimate (%)", "mc_now_pct"),
    Column("MC when dry %", "dry_mc_pct"),
    Column("Dry since", "dry_on"),
    Column("Owner", "owner__name"),
    Column("Grade", "grade"),
    Column("Figure", "figure"),
    *(Column(feature.capitalize(), f"has_{feature}") for feature in FEATURES),
    Column("Matched set", "matched_set"),
    Column("Sawn on", "sawn_on"),
    Column("Ends sealed on", "ends_sealed_on"),
    Column("Price of the piece", "price"),
    Column("Not for sale", "hold_back"),
    Column("Note", "note"),
)


def slabs_for_export(found: QuerySet[Slab]) -> QuerySet[Slab]:
    """The list with what its columns need; an estimate only for what stands in a stack."""
    return found.annotate(mc_now_pct=Case(When(stack__isnull=False, then=F("cohort__estimate__mean_pct"))))

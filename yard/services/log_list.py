"""Finding logs: filters, order, what waits in all, and the columns of the list as a spreadsheet."""

from dataclasses import dataclass

from django.db.models import Case, Count, F, FloatField, Q, QuerySet, Sum, Value, When
from django.db.models.functions import Floor

from yard.models import Log, LogRule, LogState
from yard.services.exports import Column
from yard.wood.species import find_species

WAITING, SAWN, VOID, ALL = "waiting", "sawn", "void", "all"
STATES = {
    WAITING: Q(state__in=[LogState.IN_YARD, LogState.ON_MILL]),
    SAWN: Q(state=LogState.SAWN),
    VOID: Q(state=LogState.VOID),
    ALL: ~Q(state=LogState.VOID),
}
ORDERS = {
    "oldest": ("arrived_on", "id"),
    "newest": ("-arrived_on", "-id"),
    "largest": (F("net_scale_bf").desc(nulls_last=True), "-id"),
    "thickest": ("-small_end_in", "-id"),
    "species": ("species_key", "arrived_on", "id"),
    "tag": ("tag", "id"),
}

GROSS_BF = Case(
    When(rule=LogRule.DOYLE, then=F("doyle_bf")),
    When(rule=LogRule.SCRIBNER, then=F("scribner_bf")),
    When(rule=LogRule.INTERNATIONAL, then=F("international_bf")),
    output_field=FloatField(),
)
# As `net_scale_bf` of yard.wood.log_defects: the deduction is taken to the whole board foot.
NET_BF = GROSS_BF - Floor(GROSS_BF * F("defect_pct") / Value(100.0) + Value(0.5))


@dataclass(frozen=True, slots=True)
class Waiting:
    """What is still to be sawn: logs, and footage by the rule on each ticket."""

    logs: int
    scale_bf: float


def logs_found(
    *, state: str = WAITING, words: str = "", species_key: str = "", whose: str = "", order: str = ""
) -> QuerySet[Log]:
    """Logs of one state, by words in tag, place, note or species, and by owner (ours, others), in an order."""
    found = Log.objects.filter(STATES.get(state, STATES[WAITING])).annotate(net_scale_bf=NET_BF)
    for word in words.split()[:6]:
        found = found.filter(
            Q(tag__icontains=word)
            | Q(where_from__icontains=word)
            | Q(note__icontains=word)
            | Q(supplier__name__icontains=word)
            | Q(species_key__in=_species_keys(word))
        )
    if species_key:
        found = found.filter(species_key=species_key)
    if whose in ("ours", "others"):
        found = found.filter(owner__isnull=whose == "ours")
    usual = "oldest" if state == WAITING else "newest"
    return found.select_related("owner").order_by(*ORDERS.get(order, ORDERS[usual]))


def logs_waiting() -> Waiting:
    """All logs that are still to be sawn, ours and others'."""
    sums = Log.objects.filter(STATES[WAITING]).aggregate(logs=Count("id"), scale_bf=Sum(NET_BF))
    return Waiting(sums["logs"], sums["scale_bf"] or 0.0)


def _species_keys(word: str) -> list[str]:
    """The woods that a word names outright, without the guesses at misspellings."""
    if len(word) < 3:
        return []
    return [
        wood.key for wood in find_species(word) if word.lower() in f"{wood.common_name} {wood.botanical_name}".lower()
    ]


COLUMNS = (
    Column("Tag", "tag"),
    Column("Species", "species_key"),
    Column("State", "state", lambda state: LogState(state).label),
    Column("Owner", "owner__name"),
    Column("Supplier", "supplier__name"),
    Column("Where from", "where_from"),
    Column("Felled", "felled_on"),
    Column("Arrived", "arrived_on"),
    Column("Sawn", "sawn_on"),
    Column("Small end (in)", "small_end_in"),
    Column("Large end (in)", "large_end_in"),
    Column("Length (ft)", "length_ft"),
    Column("Defect (%)", "defect_pct"),
    Column("Defects", "defect_note"),
    Column("Rule", "rule", lambda rule: LogRule(rule).label),
    Column("Doyle (bf)", "doyle_bf"),
    Column("Scribner (bf)", "scribner_bf"),
    Column("International (bf)", "international_bf"),
    Column("Volume (ft3)", "cubic_ft3"),
    Column("Net scale by the rule (bf)", "net_scale_bf"),
    Column("Cost", "cost"),
    Column("Ends sealed", "ends_sealed_on"),
    Column("Note", "note"),
)

"""What lay in the yard on a day, and what it had cost: for the accountant's year end.

Wood counts at its share of its log's cost, by green board feet; a log that was not sawn by that day counts whole.
What drying cost is not added. Wood whose cost nobody wrote down is counted apart, in board feet.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, F, FloatField, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Cast

from sales.models import LineKind, OrderLine, OrderState
from sales.services.money import to_cents
from yard.models import Log, LogState, Slab, SlabState

ADDED_AT_ONCE = 5_000  # pieces, added up in about a tenth of a second


@dataclass(slots=True)
class StockLine:
    """Wood of one species: what has a cost, and what has none written down."""

    species_key: str
    pieces: int = 0
    bf: float = 0.0
    cost: Decimal = Decimal(0)
    unknown_bf: float = 0.0


@dataclass(frozen=True, slots=True)
class StockValue:
    """All of it on one day."""

    on: date
    slabs: tuple[StockLine, ...]
    logs: int
    logs_cost: Decimal
    logs_without: int
    sold_without_order: int

    @property
    def slabs_cost(self) -> Decimal:
        return sum((line.cost for line in self.slabs), Decimal(0))

    @property
    def cost(self) -> Decimal:
        return self.slabs_cost + self.logs_cost

    @property
    def bf(self) -> float:
        return sum(line.bf for line in self.slabs)

    @property
    def pieces(self) -> int:
        return sum(line.pieces for line in self.slabs)

    @property
    def unknown_bf(self) -> float:
        return sum(line.unknown_bf for line in self.slabs)


def is_large_yard() -> bool:
    """Whether adding up all wood would hold a page up: it is done when somebody asks."""
    newest = Slab.objects.order_by("-pk").values_list("pk", flat=True).first()
    return newest is not None and newest > ADDED_AT_ONCE


def in_stock(on: date) -> QuerySet[Slab]:
    """Pieces of ours that were sawn by a day and had not gone by its end.

    What was handed out without an order leaves no day: it counts as gone on every day.
    """
    gone_later = _delivered().filter(order__delivered_on__gt=on)
    return (
        Slab.objects.ours().filter(sawn_on__lte=on).exclude(state__in=[SlabState.VOID, SlabState.SPLIT])
        .filter(~Q(state__in=[SlabState.SOLD, SlabState.RETURNED]) | Q(pk__in=gone_later.values("slab")))
    )  # fmt: skip


def with_cost_share(slabs: QuerySet[Slab]) -> QuerySet[Slab]:
    """Slabs with `cost_share`: the part of the log's cost that each carries."""
    whole = (
        Slab.objects.filter(log=OuterRef("log")).exclude(state__in=[SlabState.VOID, SlabState.SPLIT]).order_by()
        .values("log").annotate(bf=Sum("green_bf")).values("bf")
    )  # fmt: skip
    return slabs.annotate(
        cost_share=Cast(F("log__cost"), FloatField()) * F("green_bf") / Subquery(whole, output_field=FloatField())
    )


def stock_value(on: date) -> StockValue:
    """What lay there at the end of a day: four queries."""
    groups = in_stock(on).order_by().values_list("log", "species_key").annotate(pieces=Sum("count"), bf=Sum("green_bf"))
    costs = {pk: (cost, sawn_on) for pk, cost, sawn_on in Log.objects.ours().values_list("pk", "cost", "sawn_on")}
    whole = dict(
        Slab.objects.filter(log__isnull=False).exclude(state__in=[SlabState.VOID, SlabState.SPLIT]).order_by()
        .values_list("log").annotate(bf=Sum("green_bf"))
    )  # fmt: skip
    lines: dict[str, StockLine] = {}
    for log_id, species_key, pieces, bf in groups:
        line = lines.setdefault(species_key, StockLine(species_key))
        cost, sawn_on = costs.get(log_id, (None, None))
        line.pieces += pieces
        line.bf += bf
        if cost is None or not whole.get(log_id):
            line.unknown_bf += bf
        elif sawn_on is not None and sawn_on <= on:  # until a log is sawn through, it stands for its slabs
            line.cost += cost * Decimal(str(bf / whole[log_id]))
    for line in lines.values():
        line.cost = to_cents(line.cost)
    logs, ranked = _logs(on), sorted(lines.values(), key=lambda one: -one.cost)
    cost = to_cents(logs["worth"] or Decimal(0))
    return StockValue(on, tuple(ranked), logs["logs"], cost, logs["without"], _sold_without_order())


def _logs(on: date) -> dict:
    standing = Log.objects.ours().exclude(state=LogState.VOID).filter(arrived_on__lte=on)
    return standing.filter(Q(sawn_on__isnull=True) | Q(sawn_on__gt=on)).aggregate(
        logs=Count("pk"), worth=Sum("cost"), without=Count("pk", filter=Q(cost__isnull=True))
    )


def _sold_without_order() -> int:
    return Slab.objects.ours().filter(state=SlabState.SOLD).exclude(pk__in=_delivered().values("slab")).count()


def _delivered() -> QuerySet[OrderLine]:
    return OrderLine.objects.standing().filter(kind=LineKind.SLAB, order__state=OrderState.DELIVERED).order_by()

"""Wood of ours that was sold and delivered in a period: what every look back starts from."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Case, CharField, Count, DecimalField, F, QuerySet, Sum, Value, When

from sales.models import LineKind, OrderLine, OrderState
from sales.services.money import to_cents
from yard.models import Contact

MONEY = DecimalField(max_digits=16, decimal_places=6)
# What a line brought before tax, its part of the order's discount taken off; nothing once it is credited.
BROUGHT = Case(
    When(
        credited_by__isnull=True,
        then=F("total") * (Value(Decimal(100)) - F("order__discount_pct")) / Value(Decimal(100)),
    ),
    default=Value(Decimal(0)), output_field=MONEY,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Period:
    """From a day to a day, both counted."""

    start: date
    end: date


@dataclass(frozen=True, slots=True)
class SoldGroup:
    """Pieces sold of one log (none: bought in as sawn wood) and one species, on their green tally."""

    log_id: int | None
    species_key: str
    pieces: int
    green_bf: float
    brought: Decimal


@dataclass(frozen=True, slots=True)
class SoldMonth:
    """What one month brought, and how much of the best month that is."""

    month: date
    pieces: int
    brought: Decimal
    of_best_pct: float


def sold_lines(period: Period) -> QuerySet[OrderLine]:
    """Lines of slabs of ours in orders delivered in the period."""
    return OrderLine.objects.standing().filter(
        kind=LineKind.SLAB, slab__owner__isnull=True, order__state=OrderState.DELIVERED,
        order__delivered_on__gte=period.start, order__delivered_on__lte=period.end,
    ).order_by()  # fmt: skip


def sold_groups(period: Period) -> list[SoldGroup]:
    """By log and species: one query."""
    rows = sold_lines(period).values("slab__log", "slab__species_key").annotate(
        pieces=Sum("slab__count"), bf=Sum("slab__green_bf"), brought=Sum(BROUGHT, output_field=MONEY)
    )  # fmt: skip
    return [
        SoldGroup(row["slab__log"], row["slab__species_key"], row["pieces"], row["bf"], _cents(row["brought"]))
        for row in rows
    ]


def sold_months(period: Period) -> list[SoldMonth]:
    """Month by month, those without sales left out: one query."""
    months: dict[date, tuple[int, Decimal]] = {}
    days = sold_lines(period).values_list("order__delivered_on")
    for day, pieces, brought in days.annotate(pieces=Sum("slab__count"), brought=Sum(BROUGHT, output_field=MONEY)):
        many, money = months.get(day.replace(day=1), (0, Decimal(0)))
        months[day.replace(day=1)] = (many + pieces, money + brought)
    best = max((brought for _, brought in months.values()), default=Decimal(0))
    return [
        SoldMonth(month, pieces, _cents(brought), float(brought * 100 / best) if best else 0.0)
        for month, (pieces, brought) in sorted(months.items())
    ]


def days_from_saw_to_sale(period: Period) -> list[tuple[int, int]]:
    """Days between sawing and delivery, with how many pieces each, shortest first: one query."""
    rows = sold_lines(period).values_list("slab__sawn_on", "order__delivered_on").annotate(pieces=Sum("slab__count"))
    counted: dict[int, int] = {}
    for sawn_on, gone_on, pieces in rows:
        days = (gone_on - sawn_on).days
        counted[days] = counted.get(days, 0) + pieces
    return sorted(counted.items())


def share_within(counted: Iterable[tuple[int, int]], share: float) -> int | None:
    """The days within which this share of the pieces went; None without any.

    >>> share_within([(100, 1), (200, 2), (900, 1)], 0.5), share_within([(100, 1), (200, 2), (900, 1)], 0.9)
    (200, 900)
    """
    counted = list(counted)
    wanted, seen = share * sum(pieces for _, pieces in counted), 0
    for days, pieces in counted:
        seen += pieces
        if seen >= wanted:
            return days
    return None


@dataclass(frozen=True, slots=True)
class Bought:
    """What one buyer has had of ours, by wood in board feet, most first."""

    orders: int
    pieces: int
    woods: tuple[tuple[str, float], ...]


def bought_by(buyer: Contact) -> Bought:
    """All that was delivered to a buyer: two queries."""
    lines = sold_lines(Period(date.min, date.max)).filter(order__buyer=buyer)
    rows = lines.values_list("slab__species_key").annotate(pieces=Sum("slab__count"), bf=Sum("slab__green_bf"))
    woods = sorted(((key, bf) for key, _, bf in rows), key=lambda one: -one[1])
    orders = lines.aggregate(orders=Count("order", distinct=True))["orders"]
    return Bought(orders, sum(pieces for _, pieces, _ in rows), tuple(woods))


def charged_for_work(period: Period) -> list[tuple[str, int, Decimal]]:
    """What drying, planing and sanitising of other people's wood brought: kind, lines, amount before tax."""
    what = Case(When(kind=LineKind.WORK, then=F("work")), default=Value("something else"), output_field=CharField())
    rows = (
        OrderLine.objects.standing().filter(
            order__state=OrderState.DELIVERED, order__delivered_on__gte=period.start,
            order__delivered_on__lte=period.end,
        ).exclude(kind__in=[LineKind.SLAB, LineKind.ASKED]).order_by()
        .annotate(what=what).values("what")
        .annotate(lines=Count("id"), brought=Sum(BROUGHT, output_field=MONEY)).order_by("what")
    )  # fmt: skip
    return [(row["what"], row["lines"], _cents(row["brought"])) for row in rows]


def _cents(amount: Decimal | None) -> Decimal:
    return to_cents(Decimal(str(amount or 0)))

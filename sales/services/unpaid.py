"""Invoices for which money is still to come, by how long they are overdue."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from sales.models import Order
from sales.services.order_list import unpaid
from sales.services.payments import with_paid

# Bounds in days after the due day, as accountants usually set them; common practice, no source.
AGES = ((0, "Not due yet"), (30, "Up to 30 days overdue"), (60, "31 to 60 days overdue"), (None, "Longer overdue"))


@dataclass(slots=True)
class Age:
    """Invoices of one age."""

    words: str
    orders: int = 0
    left: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Owed:
    """An invoice with something left to pay; `late_days` below one: not due yet."""

    order: Order
    left: Decimal
    late_days: int


@dataclass(frozen=True, slots=True)
class Unpaid:
    """All of them, the longest overdue first."""

    owed: tuple[Owed, ...]
    ages: tuple[Age, ...]

    @property
    def left(self) -> Decimal:
        return sum((one.left for one in self.owed), Decimal(0))

    @property
    def late(self) -> Decimal:
        return sum((one.left for one in self.owed if one.late_days > 0), Decimal(0))


def unpaid_invoices(today: date) -> Unpaid:
    """What is still to come: one query."""
    orders = unpaid(with_paid(Order.objects.all())).select_related("buyer").order_by("due_on", "id")
    owed = tuple(
        Owed(order, order.left, (today - order.due_on).days if order.due_on else 0) for order in orders
    )  # fmt: skip
    ages = tuple(Age(words) for _, words in AGES)
    for one in owed:
        age = ages[age_of(one.late_days)]
        age.orders += 1
        age.left += one.left
    return Unpaid(owed, ages)


def age_of(late_days: int) -> int:
    """Which of the ages so many days after the due day belong to.

    >>> [age_of(days) for days in (-3, 0, 1, 30, 31, 60, 61)]
    [0, 0, 1, 1, 2, 2, 3]
    """
    return next(place for place, (most, _) in enumerate(AGES) if most is None or late_days <= most)

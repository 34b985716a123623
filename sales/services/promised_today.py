"""What was promised and is still to be done: orders by their day, quotes that run out, money that is late."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, Q
from django.db.models.functions import Coalesce

from sales.models import Order, OrderState
from sales.services.order_list import unpaid
from sales.services.payments import with_paid

SHOWN = 8
RUNS_OUT_WITHIN = timedelta(days=3)


@dataclass(frozen=True, slots=True)
class Promised:
    """One order with its day."""

    order: Order
    day: date | None
    is_late: bool


@dataclass(frozen=True, slots=True)
class PromisedToday:
    """Lists for the first page, each cut to what fits."""

    promised: Sequence[Promised]
    running_out: Sequence[Order]
    overdue: Sequence[Order]

    @property
    def has_any(self) -> bool:
        return bool(self.promised or self.running_out or self.overdue)


def promised_today(*, today: date, with_money: bool) -> PromisedToday:
    """What is promised, the earliest day first; three queries, two without money."""
    day = Coalesce("promise_date", "wanted_by")
    orders = Order.objects.promised().annotate(day=day).select_related("buyer")
    orders = orders.order_by(F("day").asc(nulls_last=True), "id")[:SHOWN]
    quotes = Order.objects.filter(
        Q(valid_until__gte=today) & Q(valid_until__lte=today + RUNS_OUT_WITHIN), state=OrderState.QUOTED
    ).select_related("buyer")
    late = unpaid(with_paid(Order.objects.filter(due_on__lt=today))).select_related("buyer")
    return PromisedToday(
        [Promised(order, order.day, order.day is not None and order.day < today) for order in orders],
        list(quotes.order_by("valid_until", "id")[:SHOWN]),
        list(late.order_by("due_on", "id")[:SHOWN]) if with_money else [],
    )

"""Invoices, and the money that comes in: the one module that writes payments."""

import uuid
from datetime import date, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import DecimalField, F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce, Round
from django.utils import timezone

from sales.models import Document, DocumentKind, Order, OrderState, Payment, PaymentWay
from sales.services.documents import document_issue
from sales.services.orders import order_locked, order_save, sums_set
from sales.services.picking import asked_short
from sales.services.sale_settings import the_sale_settings
from yard.models import Person
from yard.services.history import history_add
from yard.services.records import record_once, record_void
from yard.services.refused import Refused

MONEY = DecimalField(max_digits=12, decimal_places=2)
INVOICED_IN = (OrderState.ORDERED, OrderState.READY, OrderState.DELIVERED)


@transaction.atomic
def invoice_issue(*, by: Person | None, order: Order, on: date | None = None, version: int | None = None) -> Document:
    """Invoice an order once, with what was paid before taken off. Errors: Refused; ChangedMeanwhile."""
    row, day = order_locked(order, version), on or timezone.localdate()
    if row.state not in INVOICED_IN:
        raise Refused(f"Order {row.number} is {row.get_state_display().lower()}: it is invoiced once it is ordered.")
    if row.invoice_number:
        raise Refused(f"Order {row.number} is invoiced already: {row.invoice_number}.")
    if short := asked_short(row):
        raise Refused(f"{short[0][1]}: add the slabs first, so that the invoice names what goes.")
    lines = list(row.lines.standing().select_related("slab", "answers"))
    answered = {line.answers_id for line in lines}
    if without := [line.words for line in lines if not line.is_priced and line.pk not in answered]:
        raise Refused(f"No price yet for {without[0]}: it would go for nothing.")
    sums_set(row, lines)
    row.invoiced_on, row.due_on = day, day + timedelta(days=the_sale_settings().pay_days)
    document = document_issue(
        by=by, order=row, kind=DocumentKind.INVOICE, on=day, lines=lines, paid=paid_for(row), due_on=row.due_on
    )  # fmt: skip
    row.invoice_number, row.credited = document.number, Decimal(0)
    order_save(row, by=by, action="invoiced", note=document.number)
    return document


@transaction.atomic
def payment_record(
    *, by: Person | None, order: Order, amount: Decimal, paid_on: date, way: str = PaymentWay.TRANSFER,
    note: str = "", client_key: uuid.UUID | None = None,
) -> Payment:  # fmt: skip
    """Write down money that came in, or went back (below nought); the same key twice is one payment.

    Errors: Refused for nothing, for money in for what is called off, and for more back than came in.
    """
    row = order_locked(order)
    if client_key and (kept := Payment.objects.filter(client_key=client_key, order=row).first()):
        return kept
    if row.state == OrderState.CANCELLED and amount > 0:
        raise Refused(f"Order {row.number} is called off: money can only go back.", "amount")
    if amount == 0:
        raise Refused("How much was paid?", "amount")
    if amount < 0 and paid_for(row) + amount < 0:
        raise Refused(f"Only {paid_for(row)} came in: no more can go back.", "amount")
    payment, is_new = record_once(
        Payment, client_key=client_key, order=row, amount=amount, paid_on=paid_on, way=PaymentWay(way), by=by,
        note=note.strip()[:500],
    )  # fmt: skip
    if is_new:
        history_add(row, by=by, action="paid" if amount > 0 else "paid back", changes={"amount": [None, amount]})
    return payment


@transaction.atomic
def payment_void(*, by: Person | None, payment: Payment, reason: str) -> None:
    """Take a payment out of the reckoning that was entered by mistake; it stays to be seen.

    Errors: Refused where money was given back that then never came in.
    """
    row = order_locked(payment.order)
    if not payment.voided and payment.amount > 0 and paid_for(row) < payment.amount:
        raise Refused("Some of it was given back: void that first.", "reason")
    record_void(record=payment, reason=reason, by=by)


def paid_for(order: Order) -> Decimal:
    """What has come in for an order, less what went back."""
    amounts = Payment.objects.standing().filter(order=order).values_list("amount", flat=True)
    return sum(amounts, Decimal("0.00"))


def to_pay(order: Order) -> Decimal:
    """What is still to be paid; below nought where too much came in."""
    return order.total - order.credited - paid_for(order)


def with_paid(orders: QuerySet[Order]) -> QuerySet[Order]:
    """Orders with `paid`, and `left` to pay, in the same query."""
    sums = (
        Payment.objects.standing().filter(order=OuterRef("pk")).order_by().values("order").annotate(sum=Sum("amount"))
    )
    paid = Coalesce(Subquery(sums.values("sum"), output_field=MONEY), Value(Decimal(0)), output_field=MONEY)
    # SQLite adds amounts as floats: each sum is brought back to the cent.
    left = Round(F("total") - F("credited") - F("paid"), precision=2, output_field=MONEY)
    return orders.annotate(paid=Round(paid, precision=2, output_field=MONEY)).annotate(left=left)

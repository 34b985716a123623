"""Lists for the accountant as spreadsheets: invoices, payments, lines sold, and what lay in the yard on a day."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Case, F, OuterRef, Q, QuerySet, Subquery, Value, When

from sales.models import Document, DocumentKind, LineKind, Order, OrderLine, Payment, PaymentWay
from sales.services.money import to_cents
from sales.services.payments import MONEY, with_paid
from sales.services.sold_wood import Period
from sales.services.stock_value import in_stock, with_cost_share
from yard.services.exports import Column
from yard.templatetags.quantities import species_name


@dataclass(frozen=True, slots=True)
class SaleExport:
    """A list: its words, its rows in a period, its columns."""

    words: str
    about: str
    rows: Callable[[Period], QuerySet]
    columns: tuple[Column, ...]


def _cents(value: Any) -> Decimal | None:
    """To the cent: SQLite gives sums as floats."""
    return None if value is None else to_cents(Decimal(str(value)))


def _wood(key: str | None) -> str:
    return species_name(key) if key else ""


def _invoices(period: Period) -> QuerySet:
    """Invoices and credit notes as they were issued; what is paid and left stands beside the invoice that stands."""
    bills = Document.objects.filter(
        kind__in=[DocumentKind.INVOICE, DocumentKind.CREDIT], issued_on__gte=period.start, issued_on__lte=period.end
    )
    standing = Q(kind=DocumentKind.INVOICE, number=F("order__invoice_number"))
    orders = with_paid(Order.objects.filter(pk=OuterRef("order")))
    return bills.annotate(
        paid=Case(When(standing, then=Subquery(orders.values("paid"), output_field=MONEY))),
        left=Case(When(standing, then=Subquery(orders.values("left"), output_field=MONEY))),
    ).order_by("issued_on", "kind", "number")


def _payments(period: Period) -> QuerySet:
    return Payment.objects.standing().filter(paid_on__gte=period.start, paid_on__lte=period.end).order_by(
        "paid_on", "id"
    )  # fmt: skip


def _lines(period: Period) -> QuerySet:
    """Every line of standing invoices of the period, other people's wood and work included."""
    counts = Case(When(credited_by__isnull=True, then=F("total")), default=Value(Decimal(0)), output_field=MONEY)
    return (
        OrderLine.objects.standing().exclude(order__invoice_number="").annotate(counts=counts)
        .filter(order__invoiced_on__gte=period.start, order__invoiced_on__lte=period.end)
        .order_by("order__invoiced_on", "order__invoice_number", "position", "id")
    )  # fmt: skip


def _stock(period: Period) -> QuerySet:
    return with_cost_share(in_stock(period.end)).order_by("species_key", "id")


EXPORTS = {
    "invoices": SaleExport(
        "Invoices and credit notes",
        "one row each, with tax and what is still to come; credit notes below nought, so that the sums are right",
        _invoices,
        (
            Column("Number", "number"), Column("What", "kind", lambda kind: DocumentKind(kind).label),
            Column("Date", "issued_on"), Column("Due", "figures__due_on"), Column("Credits", "credits__number"),
            Column("Order", "order__number"), Column("Buyer", "order__buyer__name"), Column("Lines", "lines_total"),
            Column("Discount", "discount"), Column("Tax %", "figures__tax_pct", Decimal), Column("Tax", "tax"),
            Column("Total", "total"), Column("Currency", "figures__currency"), Column("Paid", "paid", _cents),
            Column("To pay", "left", _cents), Column("Delivered", "order__delivered_on"),
            Column("Cancelled", "order__cancelled_on"),
        ),
    ),
    "payments": SaleExport(
        "Payments", "money as it came in, and went back", _payments,
        (
            Column("Date", "paid_on"), Column("Amount", "amount"), Column("Currency", "order__currency"),
            Column("How", "way", lambda way: PaymentWay(way).label), Column("Order", "order__number"),
            Column("Invoice", "order__invoice_number"), Column("Buyer", "order__buyer__name"), Column("Note", "note"),
        ),
    ),
    "lines": SaleExport(
        "Lines of invoices",
        "what stands invoiced, piece by piece, before the order's discount and tax; what is credited counts nothing",
        _lines,
        (
            Column("Invoice", "order__invoice_number"), Column("Date", "order__invoiced_on"),
            Column("Order", "order__number"), Column("Buyer", "order__buyer__name"),
            Column("Kind", "kind", lambda kind: LineKind(kind).label), Column("What", "words"),
            Column("Tag", "slab__tag"), Column("Wood", "slab__species_key", _wood),
            Column("Log", "slab__log__tag"), Column("Board feet", "bf"), Column("Quantity", "quantity"),
            Column("Per", "per"), Column("Price", "unit_price"), Column("Discount %", "discount_pct"),
            Column("Total", "total"), Column("Credited by", "credited_by__number"), Column("Counts", "counts", _cents),
            Column("Taxed", "taxed"), Column("Order's discount %", "order__discount_pct"),
            Column("Tax %", "order__tax_pct"),
        ),
    ),
    "stock": SaleExport(
        "Stock on the last day", "every piece of ours that lay there, with its share of its log's cost", _stock,
        (
            Column("Tag", "tag"), Column("Wood", "species_key", species_name), Column("Kind", "kind"),
            Column("Pieces", "count"), Column("Quarters", "quarters"), Column("Green bf", "green_bf"),
            Column("Net bf", "net_bf"), Column("Sawn", "sawn_on"), Column("Called dry", "dry_on"),
            Column("Log", "log__tag"), Column("Cost of the log", "log__cost"),
            Column("Share of that cost", "cost_share", _cents), Column("Price of its own", "price"),
            Column("State today", "state"),
        ),
    ),
}  # fmt: skip

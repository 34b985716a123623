"""Issued documents: the one module that writes their table, and says what is in one.

`figures` of a document is all that is printed, so that it can be printed again in ten years: money as text to the
cent, footage as text, dates as 2026-03-02, words as they stood. The keys are those of `DocumentFigures`.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from sales.models import Document, DocumentKind, LineKind, Order, OrderLine
from sales.services.order_numbers import with_next_number
from sales.services.sale_settings import the_sale_settings
from yard.models import Person
from yard.services.yard_settings import the_yard

SUMS = ("lines_total", "discount", "tax", "total")
PREFIX_OF = {
    DocumentKind.QUOTE: "quote_prefix",
    DocumentKind.DELIVERY: "delivery_prefix",
    DocumentKind.INVOICE: "invoice_prefix",
    DocumentKind.CREDIT: "credit_prefix",
}


def document_issue(
    *, by: Person | None, order: Order, kind: DocumentKind, on: date, lines: Sequence[OrderLine],
    paid: Decimal = Decimal(0), due_on: date | None = None,
) -> Document:  # fmt: skip
    """Issue a document with the order's figures as they are now, under the next number of its kind."""
    return document_keep(
        by=by, order=order, kind=kind, on=on,
        figures=lambda number: document_figures(order, kind, number, on, lines, paid=paid, due_on=due_on),
    )  # fmt: skip


def document_keep(
    *, by: Person | None, order: Order, kind: DocumentKind, on: date, figures: Callable[[str], dict[str, Any]],
    credits: Document | None = None,
) -> Document:  # fmt: skip
    """Keep a document under the next number of its kind; `figures` gives what it prints, once it has its number."""
    prefix = getattr(the_sale_settings(), PREFIX_OF[kind])

    def save(number: str) -> Document:
        printed = figures(number)
        return Document.objects.create(
            order=order, kind=kind, number=number, issued_on=on, issued_by=by, figures=printed, credits=credits,
            **document_sums(kind, printed),
        )  # fmt: skip

    return with_next_number(
        lambda start: Document.objects.filter(kind=kind, number__startswith=start).values_list("number", flat=True),
        save, prefix=prefix, year=on.year,
    )  # fmt: skip


def document_sums(kind: str, figures: Mapping[str, Any]) -> dict[str, Decimal]:
    """The sums of a bill as they count in the books; of what is no bill none."""
    sign = {DocumentKind.INVOICE: 1, DocumentKind.CREDIT: -1}.get(DocumentKind(kind))
    return {name: sign * Decimal(figures[name]) for name in SUMS} if sign else {}


def document_figures(
    order: Order, kind: str, number: str, on: date, lines: Sequence[OrderLine], *, paid: Decimal = Decimal(0),
    due_on: date | None = None,
) -> dict[str, Any]:  # fmt: skip
    """All that a document prints. A line that slabs answer is left out: they stand for it."""
    yard, habits, buyer = the_yard(), the_sale_settings(), order.buyer
    answered = {line.answers_id for line in lines if line.kind == LineKind.SLAB}
    printed = [line for line in lines if line.pk not in answered]
    return {
        "kind": kind, "number": number, "order": order.number, "issued_on": _day(on),
        "valid_until": _day(order.valid_until) if kind == DocumentKind.QUOTE else "",
        "due_on": _day(due_on), "delivered_on": _day(order.delivered_on),
        "promise_date": _day(order.promise_date), "promise_middle": _day(order.promise_middle),
        "yard": {"name": yard.name, "address": habits.address, "tax_words": habits.tax_words},
        "buyer": {"name": buyer.name, "address": buyer.address, "email": buyer.email, "phone": buyer.phone},
        "currency": order.currency,
        "basis": order.basis, "basis_words": order.get_basis_display(), "rounding_words": order.get_rounding_display(),
        "width_basis_words": order.get_width_basis_display(),
        "mc_pct": order.mc_pct, "mc_how": order.mc_how,
        "terms": habits.invoice_terms if kind == DocumentKind.INVOICE else order.terms,
        "note": order.note,
        "lines": [line_figures(line, place) for place, line in enumerate(printed, start=1)],
        "bf_total": str(sum((_feet(line) for line in printed if line.kind != LineKind.WORK), Decimal(0))),
        "lines_total": _money(order.lines_total), "discount_pct": str(order.discount_pct.normalize() + 0),
        "discount": _money(order.discount), "tax_pct": str(order.tax_pct.normalize() + 0), "tax": _money(order.tax),
        "total": _money(order.total), "paid": _money(paid), "to_pay": _money(order.total - paid),
    }  # fmt: skip


def line_figures(line: OrderLine, place: int) -> dict[str, Any]:
    """One printed line."""
    slab = line.slab
    return {
        "place": place, "line": line.pk, "kind": line.kind, "words": line.words, "tag": slab.tag if slab else "",
        "species_key": slab.species_key if slab else line.species_key, "bf": str(_feet(line)) if line.bf else "",
        "bf_how": line.bf_how, "mc_pct": slab.dry_mc_pct if slab else None,
        "quantity": f"{line.quantity.normalize() + 0:f}", "per": line.per, "per_words": line.get_per_display(),
        "unit_price": f"{line.unit_price.normalize() + 0:f}", "minimum": _money(line.minimum or Decimal(0)),
        "discount_pct": f"{line.discount_pct.normalize() + 0:f}", "total": _money(line.total), "taxed": line.taxed,
    }  # fmt: skip


def _feet(line: OrderLine) -> Decimal:
    return Decimal(str(line.bf or 0))


def _money(amount: Decimal) -> str:
    return f"{amount:.2f}"


def _day(on: date | None) -> str:
    return on.isoformat() if on else ""

"""Credit notes: an invoice that was wrong is put right, all of it or line by line, and adds up to the cent.

What a note credits is the invoice with what was credited so far, less the invoice with what is credited now: notes for
all lines, one after another, come to just what the invoice came to, whatever was rounded. A credit note for all that is
left takes the invoice off the order, which can then be priced and invoiced anew.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from sales.models import Document, DocumentKind, LineKind, Order
from sales.services.documents import SUMS, document_keep
from sales.services.money import Sums, sums
from sales.services.order_lines import lines_credited_set
from sales.services.orders import order_locked, order_save
from yard.models import Person
from yard.services.refused import Refused


@dataclass(frozen=True, slots=True)
class InvoicedLine:
    """A line as the invoice prints it, and the credit note that took it off."""

    place: int
    words: str
    total: Decimal
    credited_by: str


def invoice_of(order: Order) -> Document | None:
    """The invoice that stands for an order; None before it is invoiced, and once all of it is credited."""
    if not order.invoice_number:
        return None
    return order.documents.filter(kind=DocumentKind.INVOICE, number=order.invoice_number).first()


def invoiced_lines(invoice: Document) -> list[InvoicedLine]:
    """What it prints, with what is credited of it so far: one query."""
    gone = _credited(invoice)
    return [
        InvoicedLine(line["place"], line["words"], Decimal(line["total"]), gone.get(line["place"], ""))
        for line in invoice.figures["lines"]
    ]


@transaction.atomic
def credit_note_issue(
    *, by: Person | None, order: Order, reason: str, places: Collection[int] | None = None, on: date | None = None,
    version: int | None = None,
) -> Document:  # fmt: skip
    """Credit lines of an order's invoice by their places on it; None credits all that is left.

    Errors: Refused without an invoice, a reason or a line, and for a line that is credited already; ChangedMeanwhile.
    """
    row, day = order_locked(order, version), on or timezone.localdate()
    invoice = invoice_of(row)
    if invoice is None:
        raise Refused(f"Order {row.number} has no invoice that stands.")
    if not reason.strip():
        raise Refused("Say why, in a few words: it stands on the credit note.", "reason")
    gone = _credited(invoice)
    every = {line["place"] for line in invoice.figures["lines"]}
    chosen = every - gone.keys() if places is None else set(places)
    _refuse_unless_sound(chosen, every, gone)
    left = every - gone.keys() - chosen
    figures = _figures(invoice, set(gone), chosen, day, reason.strip())
    note = document_keep(
        by=by, order=row, kind=DocumentKind.CREDIT, on=day, credits=invoice,
        figures=lambda number: figures | {"number": number},
    )  # fmt: skip
    if left:
        row.credited += Decimal(figures["total"])
        lines_credited_set(order=row, lines=_line_ids(row, invoice, chosen), note=note)
    else:
        row.invoice_number, row.invoiced_on, row.due_on, row.credited = "", None, None, Decimal(0)
        lines_credited_set(order=row, lines=(), note=None)
    order_save(row, by=by, action="credited", note=f"{note.number} for {invoice.number}: {reason.strip()}"[:200])
    return note


def _refuse_unless_sound(chosen: Collection[int], every: Collection[int], gone: dict[int, str]) -> None:
    if not chosen:
        raise Refused("Which lines? Tick at least one.", "places")
    if strange := [place for place in chosen if place not in every]:
        raise Refused(f"The invoice has no line {strange[0]}.", "places")
    if twice := [place for place in chosen if place in gone]:
        raise Refused(f"Line {twice[0]} is credited already, by {gone[twice[0]]}.", "places")


def _credited(invoice: Document) -> dict[int, str]:
    """Places of the lines that credit notes took off, with the number of the note."""
    notes = invoice.credit_notes.values_list("number", "figures")
    return {line["place"]: number for number, figures in notes for line in figures["lines"]}


def _figures(invoice: Document, gone: set[int], chosen: set[int], day: date, reason: str) -> dict[str, Any]:
    printed = invoice.figures
    lines = [line for line in printed["lines"] if line["place"] in chosen]
    before, after = _sums_of(printed, gone), _sums_of(printed, gone | chosen)
    money = {name: f"{after[name] - before[name]:.2f}" for name in SUMS}
    feet = sum((Decimal(line["bf"] or 0) for line in lines if line["kind"] != LineKind.WORK), Decimal(0))
    return printed | money | {
        "kind": DocumentKind.CREDIT.value, "issued_on": day.isoformat(), "valid_until": "", "due_on": "",
        "credits": invoice.number, "terms": "", "note": reason, "lines": lines, "bf_total": str(feet),
        "paid": "0.00", "to_pay": money["total"],
    }  # fmt: skip


def _sums_of(printed: dict[str, Any], places: set[int]) -> dict[str, Decimal]:
    """What these lines of an invoice come to; all of them to what is printed at its foot."""
    if len(places) == len(printed["lines"]):
        return {name: Decimal(printed[name]) for name in SUMS}
    some = [(Decimal(line["total"]), line["taxed"]) for line in printed["lines"] if line["place"] in places]
    found: Sums = sums(some, discount_pct=Decimal(printed["discount_pct"]), tax_pct=Decimal(printed["tax_pct"]))
    return {"lines_total": found.lines, "discount": found.discount, "tax": found.tax, "total": found.total}


def _line_ids(order: Order, invoice: Document, places: Collection[int]) -> list[int]:
    """The order's lines that stand at these places; an invoice of an older version keeps no ids, only their order."""
    printed = invoice.figures["lines"]
    if all("line" in line for line in printed):
        return [line["line"] for line in printed if line["place"] in places]
    standing = list(order.lines.standing())
    answered = {line.answers_id for line in standing if line.kind == LineKind.SLAB}
    ids = [line.pk for line in standing if line.pk not in answered]
    return [ids[place - 1] for place in places if place <= len(ids)]

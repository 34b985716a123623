"""Credit notes add up to the cent with the invoice that they put right; balance, lists and looking back follow."""

from datetime import date
from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps

from sales.models import Document, DocumentKind, OrderState
from sales.services.credit_notes import credit_note_issue, invoiced_lines
from sales.services.deliveries import order_deliver
from sales.services.document_pdf import document_pdf
from sales.services.order_lines import line_change
from sales.services.order_list import orders_found
from sales.services.orders import order_cancel
from sales.services.payments import invoice_issue, payment_record, to_pay
from sales.services.printed_document import printed_document
from sales.services.sold_wood import Period, sold_months
from tests.sales.make import make_dry_slab, make_order
from tests.sales.services.test_reports import csv_of
from yard.services.refused import Refused

pytestmark = pytest.mark.usefixtures("yard")
DAY = date(2026, 2, 11)


@pytest.fixture
def invoiced():
    """Three pieces, 10% off, 5.5% tax: 33.33 + 66.67 + 0.01 = 100.01, less 10.00, tax 4.95 on 90.01: 94.96."""
    slabs = [make_dry_slab(price=Decimal(price)) for price in ("33.33", "66.67", "0.01")]
    terms = {"tax_pct": Decimal("5.5"), "discount_pct": Decimal(10)}
    order = make_order(slabs=slabs, state=OrderState.ORDERED, **terms)
    invoice_issue(by=None, order=order, on=DAY)
    order.refresh_from_db()
    return order


def credit(order, places=None, **more):
    note = credit_note_issue(by=None, order=order, places=places, reason="billed twice", on=DAY, **more)
    order.refresh_from_db()
    return note


def test_credit_notes_line_by_line_come_to_the_invoice_to_the_cent(invoiced):
    """33.33 less 3.33 is 30.00, tax 1.65: 31.65. With 66.67: 100.00 less 10.00, tax 4.95: 94.95, so 63.30 more.
    Of 94.96 one cent is left."""
    invoice = Document.objects.get(kind="invoice")
    assert invoice.total == Decimal("94.96")
    notes = [credit(invoiced, [place]) for place in (1, 2, 3)]
    assert [note.figures["total"] for note in notes] == ["31.65", "63.30", "0.01"]
    assert [note.total for note in notes] == [Decimal("-31.65"), Decimal("-63.30"), Decimal("-0.01")]
    for name in ("lines_total", "discount", "tax", "total"):
        assert sum(getattr(note, name) for note in notes) == -getattr(invoice, name)
    assert [note.number for note in notes] == ["C-2026-001", "C-2026-002", "C-2026-003"]
    assert invoiced.invoice_number == ""


def test_balance_follows_what_is_credited(invoiced):
    payment_record(by=None, order=invoiced, amount=Decimal("50.00"), paid_on=DAY)
    credit(invoiced, [1])
    assert to_pay(invoiced) == Decimal("13.31")  # 94.96 - 31.65 - 50.00
    (row,) = orders_found(state="unpaid")
    assert row.left == Decimal("13.31")
    with pytest.raises(Refused, match=r"Line 1 is credited already, by C-2026-001"):
        credit(invoiced, [1, 2])


def test_money_to_give_back_is_found(invoiced):
    payment_record(by=None, order=invoiced, amount=Decimal("94.96"), paid_on=DAY)
    called_off = make_order(state=OrderState.ORDERED)
    payment_record(by=None, order=called_off, amount=Decimal("10.00"), paid_on=DAY)
    order_cancel(by=None, order=called_off, reason="changed plans")
    assert list(orders_found(state="give_back")) == [called_off]
    credit(invoiced, [1])
    assert {row.left for row in orders_found(state="give_back")} == {Decimal("-31.65"), Decimal("90.00")}


def test_order_credited_in_full_is_priced_and_invoiced_anew(invoiced):
    with pytest.raises(Refused, match="give a credit note for I-2026-001 first"):
        order_cancel(by=None, order=invoiced, reason="changed plans")
    credit(invoiced, [2])
    assert list(invoiced.lines.filter(credited_by__isnull=False).values_list("position", flat=True)) == [2]
    credit(invoiced)
    assert (invoiced.invoice_number, invoiced.credited) == ("", Decimal(0))
    assert not invoiced.lines.filter(credited_by__isnull=False).exists()
    line = invoiced.lines.get(position=2)
    line_change(
        by=None, line=line, version=line.version, unit_price=Decimal("60.00"), discount_pct=Decimal(0), taxed=True
    )
    again = invoice_issue(by=None, order=invoiced, on=DAY)
    assert (again.number, again.figures["lines_total"]) == ("I-2026-002", "93.34")
    assert to_pay(type(invoiced).objects.get()) == Decimal(again.figures["total"])


def test_what_cannot_be_credited_is_refused_with_why(invoiced):
    for places, reason, words in (([], "x", "Which lines"), ([9], "x", "no line 9"), ([1], " ", "Say why")):
        with pytest.raises(Refused, match=words):
            credit_note_issue(by=None, order=invoiced, places=places, reason=reason)
    with pytest.raises(Refused, match="no invoice that stands"):
        credit_note_issue(by=None, order=make_order(state=OrderState.ORDERED), reason="x")


def test_lists_for_the_accountant_add_up_with_credit_notes(invoiced):
    credit(invoiced, [1])
    heads, *rows = csv_of("invoices")
    rows = sorted((dict(zip(heads, row, strict=True)) for row in rows), key=lambda row: row["Number"])
    assert [(row["Number"], row["What"], row["Total"], row["Credits"]) for row in rows] == [
        ("C-2026-001", "Credit note", "-31.65", "I-2026-001"), ("I-2026-001", "Invoice", "94.96", ""),
    ]  # fmt: skip
    assert [row["To pay"] for row in rows] == ["", "63.31"]
    heads, *lines = csv_of("lines")
    lines = [dict(zip(heads, line, strict=True)) for line in lines]
    assert [(line["Credited by"], line["Counts"]) for line in lines] == [
        ("C-2026-001", "0.00"), ("", "66.67"), ("", "0.01")
    ]  # fmt: skip


def test_looking_back_counts_no_money_for_what_is_credited(invoiced):
    order_deliver(by=None, order=invoiced, on=DAY, unscanned=True)
    credit(invoiced, [2])
    (month,) = sold_months(Period(DAY, DAY))
    assert month.brought == Decimal("30.01")  # 33.34 less 10%: 30.006


def test_credit_note_on_paper_says_what_it_is_for(invoiced):
    note = credit(invoiced, [3])
    printed = printed_document(note.figures)
    assert (printed.title, printed.day_words, printed.note) == (
        "Credit note", "For invoice I-2026-001", "billed twice"
    )  # fmt: skip
    assert document_pdf(printed, units="imperial").startswith(b"%PDF")
    assert [(line.place, line.credited_by) for line in invoiced_lines(Document.objects.get(kind="invoice"))] == [
        (1, ""), (2, ""), (3, note.number)
    ]  # fmt: skip


def test_invoices_of_before_get_their_sums_as_columns(invoiced):
    Document.objects.filter(kind=DocumentKind.INVOICE).update(total=None, tax=None)
    import_module("sales.migrations.0006_sums_of_invoices").sums_of_invoices(_Historical, None)
    invoice = Document.objects.get(kind=DocumentKind.INVOICE)
    assert (invoice.total, invoice.tax) == (Decimal("94.96"), Decimal("4.95"))


class _Historical:
    """The model as a migration has it is the same table."""

    @staticmethod
    def get_model(app, name):
        return apps.get_model(app, name)

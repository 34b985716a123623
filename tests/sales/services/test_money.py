"""Sums by hand: tax, discount, rounding by the line, partial payment. No expected value came from the program."""

import uuid
from datetime import date
from decimal import Decimal

import pytest

from sales.models import OrderState
from sales.services.documents import document_figures
from sales.services.money import line_total, percent_of, sums, to_cents
from sales.services.order_lines import line_add_other
from sales.services.order_list import orders_found
from sales.services.order_terms import order_change
from sales.services.orders import order_cancel
from sales.services.payments import invoice_issue, paid_for, payment_record, payment_void, to_pay
from sales.services.quotes import order_accept, quote_issue
from tests.sales.make import make_dry_slab, make_order
from yard.services.refused import Refused

TODAY = date(2026, 3, 2)


@pytest.mark.parametrize(
    ("amount", "cents"),
    [("0.005", "0.01"), ("0.015", "0.02"), ("0.025", "0.03"), ("1.004999", "1.00"), ("-0.005", "-0.01")],
)
def test_half_a_cent_goes_up_every_time(amount, cents):
    """By hand: halves away from nought, not to the even cent."""
    assert to_cents(Decimal(amount)) == Decimal(cents)


@pytest.mark.parametrize(
    ("quantity", "unit_price", "discount", "total"),
    [
        ("11.7", "6.35", "0", "74.30"),  # 11.7 x 6.35 = 74.295
        ("22.5", "9.35", "0", "210.38"),  # 22.5 x 9.35 = 210.375
        ("3", "33.33", "10", "89.99"),  # 99.99 less 9.999, which is 10.00
        ("150", "7.125", "0", "1068.75"),
        ("0.1", "0.04", "0", "0.00"),  # 0.004
    ],
)
def test_line_is_quantity_times_price_to_the_cent(quantity, unit_price, discount, total):
    got = line_total(quantity=Decimal(quantity), unit_price=Decimal(unit_price), discount_pct=Decimal(discount))
    assert got == Decimal(total)


def test_minimum_counts_where_the_work_comes_to_less():
    """40 bf at 0.45 is 18.00, under the least of 60; 400 bf is 180.00, over it; nothing to do costs nothing."""
    least = {"unit_price": Decimal("0.45"), "minimum": Decimal(60)}
    assert line_total(quantity=Decimal(40), **least) == Decimal("60.00")
    assert line_total(quantity=Decimal(400), **least) == Decimal("180.00")
    assert line_total(quantity=Decimal(0), **least) == Decimal("0.00")


def test_document_adds_up_to_the_cent_by_hand():
    """Three lines of 33.335 round to 33.34 each: 100.02. 5% off is 5.001, so 5.00. Tax of 5.5% on 95.02 is 5.2261."""
    lines = [(line_total(quantity=Decimal(1), unit_price=Decimal("33.335")), True)] * 3
    got = sums(lines, discount_pct=Decimal(5), tax_pct=Decimal("5.5"))
    assert (got.lines, got.discount, got.base) == (Decimal("100.02"), Decimal("5.00"), Decimal("95.02"))
    assert (got.tax, got.total) == (Decimal("5.23"), Decimal("100.25"))


def test_what_is_not_taxed_bears_its_share_of_the_discount():
    """200 taxed and 100 not, 10% off: 30 off in all, tax of 20% on 180 is 36, in all 306."""
    got = sums([(Decimal(200), True), (Decimal(100), False)], discount_pct=Decimal(10), tax_pct=Decimal(20))
    assert (got.base, got.tax, got.total) == (Decimal("180.00"), Decimal("36.00"), Decimal("306.00"))


def test_share_is_rounded_once():
    assert percent_of(Decimal("10.10"), Decimal("2.475")) == Decimal("0.25")  # 0.249975


def test_no_lines_come_to_nothing():
    assert sums([], discount_pct=Decimal(50), tax_pct=Decimal(20)).total == Decimal("0.00")


def test_order_keeps_the_sums_of_its_lines(yard):
    """Two slabs at 120.50, haulage of 45 without tax; 10% off 286.00 is 28.60; tax 5.5% on 216.90 is 11.9295."""
    order = make_order(slabs=[make_dry_slab(price=Decimal("120.50")) for _ in range(2)], tax_pct=Decimal("5.5"))
    line_add_other(by=None, order=order, words="Haulage", quantity=Decimal(1), unit_price=Decimal(45), taxed=False)
    order.refresh_from_db()
    order = order_change(by=None, order=order, version=order.version, discount_pct=Decimal(10))
    assert (order.lines_total, order.discount) == (Decimal("286.00"), Decimal("28.60"))
    assert (order.tax, order.total) == (Decimal("11.93"), Decimal("269.33"))


def test_printed_lines_add_up_to_what_is_printed_below_them(yard):
    """Whoever adds up the paper with a pencil gets the figure at its foot."""
    order = make_order(slabs=[make_dry_slab(price=Decimal(price)) for price in ("33.33", "66.67", "0.01")],
                       tax_pct=Decimal("7.25"), discount_pct=Decimal("3.5"))  # fmt: skip
    figures = quote_issue(by=None, order=order).figures
    lines = sum(Decimal(line["total"]) for line in figures["lines"])
    assert lines == Decimal(figures["lines_total"]) == Decimal("100.01")
    assert Decimal(figures["discount"]) == Decimal("3.50")  # 3.50035
    assert Decimal(figures["tax"]) == Decimal("7.00")  # 7.25% of 96.51 is 6.996975
    assert lines - Decimal(figures["discount"]) + Decimal(figures["tax"]) == Decimal(figures["total"])


def test_invoice_takes_off_what_was_paid_before(yard, owner):
    order = make_order(slabs=2, price="100.00", state=OrderState.ORDERED)  # 200.00, no tax
    payment_record(by=owner, order=order, amount=Decimal("60.00"), paid_on=TODAY, way="cash")
    invoice = invoice_issue(by=owner, order=order, on=TODAY)
    assert (invoice.figures["total"], invoice.figures["paid"], invoice.figures["to_pay"]) == (
        "200.00", "60.00", "140.00",
    )  # fmt: skip
    assert invoice.figures["due_on"] == "2026-03-16"


def test_part_payments_leave_the_rest_to_pay(yard, owner):
    order = make_order(slabs=1, price="100.00", state=OrderState.ORDERED)
    first = payment_record(by=owner, order=order, amount=Decimal("33.33"), paid_on=TODAY)
    payment_record(by=owner, order=order, amount=Decimal("33.33"), paid_on=TODAY)
    assert to_pay(order) == Decimal("33.34")
    payment_void(by=owner, payment=first, reason="entered twice")
    assert (paid_for(order), to_pay(order)) == (Decimal("33.33"), Decimal("66.67"))
    payment_record(by=owner, order=order, amount=Decimal("-3.33"), paid_on=TODAY, note="given back")
    assert paid_for(order) == Decimal("30.00")


def test_payment_sent_twice_is_one_payment(yard, owner):
    order = make_order(state=OrderState.ORDERED)
    key = "6f1f6f6e-2a0b-4a55-9d57-0a4b8d4a2d11"
    for _ in range(2):
        payment_record(by=owner, order=order, amount=Decimal(10), paid_on=TODAY, client_key=key)
    assert paid_for(order) == Decimal("10.00")


def test_refund_sent_twice_is_one_refund_and_answered_alike(yard, owner):
    order = make_order(state=OrderState.ORDERED)
    payment_record(by=owner, order=order, amount=Decimal(10), paid_on=TODAY)
    key = uuid.uuid4()
    back = [
        payment_record(by=owner, order=order, amount=Decimal(-10), paid_on=TODAY, client_key=key) for _ in range(2)
    ]
    assert back[0] == back[1]
    assert paid_for(order) == Decimal(0)


def test_what_was_paid_for_an_order_called_off_goes_back_and_nothing_comes_in(yard, owner):
    order = make_order(state=OrderState.ORDERED)
    payment_record(by=owner, order=order, amount=Decimal(10), paid_on=TODAY)
    order_cancel(by=owner, order=order, reason="changed plans")
    with pytest.raises(Refused, match="called off"):
        payment_record(by=owner, order=order, amount=Decimal(5), paid_on=TODAY)
    payment_record(by=owner, order=order, amount=Decimal(-10), paid_on=TODAY)
    assert paid_for(order) == Decimal(0)


def test_payment_of_which_some_went_back_is_not_voided_before_that(yard, owner):
    order = make_order(state=OrderState.ORDERED)
    came = payment_record(by=owner, order=order, amount=Decimal(10), paid_on=TODAY)
    back = payment_record(by=owner, order=order, amount=Decimal(-4), paid_on=TODAY)
    with pytest.raises(Refused, match="given back"):
        payment_void(by=owner, payment=came, reason="a slip")
    payment_void(by=owner, payment=back, reason="a slip")
    payment_void(by=owner, payment=came, reason="a slip")
    assert paid_for(order) == Decimal(0)


def test_no_more_goes_back_than_came_in(yard, owner):
    order = make_order(state=OrderState.ORDERED)
    with pytest.raises(Refused, match=r"Only 0\.00 came in"):
        payment_record(by=owner, order=order, amount=Decimal(-1), paid_on=TODAY)


def test_order_is_invoiced_once_and_not_before_it_is_one(yard, owner):
    order = make_order()
    with pytest.raises(Refused, match="once it is ordered"):
        invoice_issue(by=owner, order=order)
    order_accept(by=owner, order=order)
    invoice_issue(by=owner, order=order)
    with pytest.raises(Refused, match="invoiced already"):
        invoice_issue(by=owner, order=order)


def test_document_of_sums_names_every_figure_as_text(yard):
    """JSON knows no Decimal: a float would lose the cent."""
    order = make_order(slabs=1, price="0.10")
    figures = document_figures(order, "quote", "Q-1", TODAY, list(order.lines.all()))
    assert figures["total"] == "0.10"
    assert not [name for name, value in figures.items() if isinstance(value, float) and name != "mc_pct"]


def test_order_paid_in_thirds_is_not_left_among_the_unpaid(yard, owner):
    """33.33 + 33.33 + 33.34 and 0.10 + 0.20 are no whole sums for a database that adds floats."""
    for price, parts in (("100.00", ("33.33", "33.33", "33.34")), ("0.30", ("0.10", "0.20"))):
        order = make_order(slabs=1, price=price, state=OrderState.ORDERED)
        invoice_issue(by=owner, order=order, on=TODAY)
        for part in parts[:-1]:
            payment_record(by=owner, order=order, amount=Decimal(part), paid_on=TODAY)
        (row,) = orders_found(state="unpaid")
        assert (row, row.left) == (order, Decimal(parts[-1]))
        payment_record(by=owner, order=order, amount=Decimal(parts[-1]), paid_on=TODAY)
        assert list(orders_found(state="unpaid")) == []

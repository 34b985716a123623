"""Looking back, held to sums by hand: margins, stock at cost, sell-through, days, what is unpaid, the lists."""

import csv
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from kilns.models import Run, RunStack, RunState
from sales.models import Order, OrderState
from sales.services.deliveries import order_deliver
from sales.services.margins import margins, run_margins
from sales.services.order_lines import lines_add_work
from sales.services.order_terms import order_change
from sales.services.payments import invoice_issue, payment_record
from sales.services.quotes import order_accept
from sales.services.sale_exports import EXPORTS
from sales.services.sell_through import sawn_years, stock_paces
from sales.services.sold_wood import Period, days_from_saw_to_sale, share_within, sold_months
from sales.services.stock_value import in_stock, stock_value, with_cost_share
from sales.services.unpaid import unpaid_invoices
from tests.kilns.make import make_kiln
from tests.make import make_log, make_slab, make_stack
from tests.sales.make import make_dry_slab, make_order, make_owner, make_rule
from yard.models import Slab, Stack
from yard.services.exports import csv_rows

pytestmark = pytest.mark.usefixtures("yard")
YEAR = Period(date(2026, 1, 1), date(2026, 12, 31))


def deliver(slabs, on=date(2026, 2, 10), **terms):
    """Slabs sold and gone on a day."""
    order = make_order(slabs=slabs)
    if terms:
        order_change(by=None, order=order, version=order.version, **terms)
    order_accept(by=None, order=order)
    order_deliver(by=None, order=order, on=on, unscanned=True)
    order.refresh_from_db()
    return order


def log_of_four(cost="400.00", **fields):
    """A log in four slabs of 22 bf each by one tally; their prices are 100 each."""
    log = make_log(cost=Decimal(cost) if cost else None, **fields)
    slabs = [make_dry_slab(log=log, position=place, price=Decimal("100.00")) for place in (1, 2, 3, 4)]
    return log, slabs


def test_margin_is_the_sale_less_the_logs_share():
    """One of four alike from a log of 400: it brought 100, its share is 100; two with 10% off brought 180 for 200."""
    _, slabs = log_of_four()
    deliver(slabs[:1])
    assert (margins(YEAR).whole.brought, margins(YEAR).whole.margin) == (Decimal("100.00"), Decimal("0.00"))
    deliver(slabs[1:3], discount_pct=Decimal(10))
    whole = margins(YEAR).whole
    assert whole.pieces == 3
    assert whole.brought == Decimal("280.00")
    assert whole.logs_cost == Decimal("300.00")
    assert whole.margin == Decimal("-20.00")
    assert whole.margin_pct == pytest.approx(-20 / 280 * 100)


def test_wood_of_unknown_cost_is_told_and_kept_out_of_the_margin():
    _, known = log_of_four("40.00")
    _, unknown = log_of_four(None)
    bought_in = make_dry_slab(price=Decimal("50.00"))
    deliver([known[0], unknown[0], bought_in])
    whole = margins(YEAR).whole
    assert whole.brought == Decimal("250.00")
    assert whole.unknown_brought == Decimal("150.00")
    assert whole.margin == Decimal("90.00")  # 100 for a quarter of a log of 40
    deliver([unknown[1]], on=date(2025, 6, 1))
    only_unknown = margins(Period(date(2025, 1, 1), date(2025, 12, 31))).whole
    assert (only_unknown.margin, only_unknown.margin_pct) == (None, None)


def test_species_and_logs_add_up_to_the_whole():
    _, oak = log_of_four("400.00")
    _, walnut = log_of_four("800.00", species_key="walnut-black")
    deliver([*oak[:2], *walnut[:1]])
    found = margins(YEAR)
    assert {one.words: one.margin for one in found.species} == {
        "oak-northern-red": Decimal("0.00"), "walnut-black": Decimal("-100.00")
    }  # fmt: skip
    assert sum(one.margin for one in found.logs) == found.whole.margin == Decimal("-100.00")


def test_other_peoples_wood_and_other_days_are_not_in_it():
    theirs = make_dry_slab(owner=make_owner())
    make_rule("0.50", what="drying")
    order = make_order(slabs=[theirs], buyer=theirs.owner)
    lines_add_work(by=None, order=order, work="drying")
    order_accept(by=None, order=order)
    order_deliver(by=None, order=order, on=date(2026, 2, 10), unscanned=True)
    deliver([make_dry_slab(price=Decimal(10))], on=date(2025, 12, 31))
    deliver([make_dry_slab(price=Decimal(10))], on=date(2027, 1, 1))
    make_order(slabs=1, state=OrderState.ORDERED)
    assert margins(YEAR).whole.pieces == 0


def run_over(stack, cost, kiln=None):
    """A closed run of two weeks in February 2026 with this stack."""
    run = Run.objects.create(
        kiln=kiln or make_kiln(), name="Run", state=RunState.CLOSED, energy_cost=cost,
        started_at=datetime(2026, 2, 1, tzinfo=UTC), closed_at=datetime(2026, 2, 14, tzinfo=UTC),
    )  # fmt: skip
    RunStack.objects.create(run=run, stack=stack)
    return run


def test_energy_of_a_run_is_shared_among_the_wood_that_was_in_it():
    """Four alike in a run of 80: one sold carries 20, and no share of a run after it left."""
    log = make_log(cost=Decimal("40.00"))
    slabs = [make_slab(log=log, position=place, price=Decimal(100)) for place in (1, 2, 3, 4)]
    stack = make_stack(slabs=slabs)
    run = run_over(stack, Decimal("80.00"))
    deliver(slabs[:1], on=date(2026, 3, 1))
    whole = margins(YEAR).whole
    assert whole.drying_cost == Decimal("20.00")
    assert whole.margin == Decimal("70.00")  # 100 - 10 of the log - 20
    (one,) = run_margins(until=date(2026, 12, 31))
    assert one.run == run
    assert one.bf == pytest.approx(sum(slab.green_bf for slab in slabs))
    assert (one.sold_cost, one.brought, one.after_energy) == (Decimal("20.00"), Decimal("100.00"), Decimal("80.00"))
    assert run_margins(until=date(2026, 2, 20))[0].brought == 0


def test_run_without_a_cost_is_counted():
    slabs = [make_slab(price=Decimal(100))]
    run_over(make_stack(slabs=slabs), None)
    deliver(slabs, on=date(2026, 3, 1))
    found = margins(YEAR)
    assert found.runs_without_cost == 1
    assert found.whole.drying_cost == 0


def test_wood_that_left_before_the_run_has_no_part_in_it():
    slabs = [make_slab(log=make_log(cost=Decimal(10)), position=1, price=Decimal(100))]
    stack = make_stack(slabs=[*slabs, make_slab()])
    deliver(slabs, on=date(2026, 1, 20))
    Slab.objects.get(pk=slabs[0].pk).memberships.update(until=datetime(2026, 1, 20, tzinfo=UTC))
    run_over(Stack.objects.get(pk=stack.pk), Decimal(80))
    assert margins(YEAR).whole.drying_cost == 0


def test_stock_at_a_date_is_what_lay_there_then():
    """Sawn 2025-03-03 from a log of 400 in four; one went on 2026-02-10: 300 are left from that day's end on."""
    log, slabs = log_of_four()
    type(log).objects.filter(pk=log.pk).update(state="sawn", sawn_on=date(2025, 3, 3))
    deliver(slabs[:1])
    assert stock_value(date(2026, 2, 9)).slabs_cost == Decimal("400.00")
    value = stock_value(date(2026, 2, 10))
    assert (value.slabs_cost, value.pieces, value.logs_cost) == (Decimal("300.00"), 3, Decimal("0.00"))
    before = stock_value(date(2025, 3, 2))
    assert (before.pieces, before.logs, before.logs_cost) == (0, 1, Decimal("400.00"))  # still a log
    assert stock_value(date(2025, 1, 1)).cost == 0  # not yet arrived


def test_stock_says_what_it_does_not_know():
    make_slab()  # bought in
    make_slab(owner=make_owner())
    left = make_slab()
    Slab.objects.filter(pk=left.pk).update(state="sold")
    make_log(cost=None)
    value = stock_value(date(2026, 3, 1))
    assert value.pieces == 1
    assert value.unknown_bf == pytest.approx(value.bf) != 0
    assert (value.logs_without, value.sold_without_order, value.cost) == (1, 1, 0)


def test_shares_of_a_logs_cost_add_up_to_it():
    log = make_log(cost=Decimal("100.00"))
    for place, length in ((1, 96.0), (2, 60.0), (3, 37.0)):
        make_slab(log=log, position=place, length_in=length)
    shares = with_cost_share(in_stock(date(2026, 3, 1))).values_list("cost_share", flat=True)
    assert sum(shares) == pytest.approx(100.0, abs=1e-9)


def test_sell_through_by_year_and_how_long_stock_lasts():
    _, slabs = log_of_four()
    deliver(slabs[:3])
    (year,) = sawn_years()
    assert (year.year, round(year.sold_pct)) == (2025, 75)
    (pace,) = stock_paces(YEAR)
    assert pace.dry_bf == pytest.approx(slabs[3].green_bf)
    assert pace.lasts_months == pytest.approx(4.0, rel=0.01)  # three in twelve months, one left


def test_days_from_saw_to_sale():
    _, slabs = log_of_four()
    deliver(slabs[:1], on=date(2026, 2, 10))  # sawn 2025-03-03: 344 days
    deliver(slabs[1:2], on=date(2026, 3, 3))  # 365 days
    days = days_from_saw_to_sale(YEAR)
    assert days == [(344, 1), (365, 1)]
    assert (share_within(days, 0.5), share_within(days, 0.9), share_within([], 0.5)) == (344, 365, None)
    assert [(one.month.month, one.brought) for one in sold_months(YEAR)] == [(2, Decimal(100)), (3, Decimal(100))]


def test_unpaid_is_what_is_left_by_age():
    slabs = [make_dry_slab(price=Decimal("100.00")) for _ in range(3)]
    orders = [deliver([slab]) for slab in slabs]
    for order, days in zip(orders, (0, 31, 100), strict=True):
        invoice_issue(by=None, order=order, on=date(2026, 2, 10))
        Order.objects.filter(pk=order.pk).update(due_on=date(2026, 6, 1) - timedelta(days=days))
    payment_record(by=None, order=orders[1], amount=Decimal("40.00"), paid_on=date(2026, 3, 1))
    payment_record(by=None, order=orders[2], amount=Decimal("100.00"), paid_on=date(2026, 3, 1))
    found = unpaid_invoices(date(2026, 6, 1))
    assert [(age.orders, age.left) for age in found.ages] == [
        (1, Decimal("100.00")), (0, Decimal(0)), (1, Decimal("60.00")), (0, Decimal(0))
    ]  # fmt: skip
    assert (found.left, found.late) == (Decimal("160.00"), Decimal("60.00"))


def csv_of(name, period=YEAR):
    one = EXPORTS[name]
    text = b"".join(csv_rows(one.rows(period), one.columns)).decode("utf-8-sig")
    return list(csv.reader(text.splitlines()))


def test_lists_for_the_accountant_hold_every_row_of_the_period():
    order = deliver([make_dry_slab("W-1", price=Decimal("100.00"))], tax_pct=Decimal("5.5"))
    invoice_issue(by=None, order=order, on=date(2026, 2, 11))
    payment_record(by=None, order=order, amount=Decimal("40.00"), paid_on=date(2026, 3, 1))
    heads, row = csv_of("invoices")
    row = dict(zip(heads, row, strict=True))
    assert (row["Tax"], row["Total"], row["Paid"], row["To pay"]) == ("5.50", "105.50", "40.00", "65.50")
    assert csv_of("payments")[1][:2] == ["2026-03-01", "40.00"]
    assert "W-1" in csv_of("lines")[1]
    assert len(csv_of("stock")) == 1  # it has gone
    assert len(csv_of("invoices", Period(date(2025, 1, 1), date(2025, 12, 31)))) == 1


def test_queries_are_as_many_for_much_as_for_little():
    def queries():
        with CaptureQueriesContext(connection) as seen:
            margins(YEAR), stock_value(YEAR.end), stock_paces(YEAR), run_margins(until=YEAR.end), sawn_years()
            unpaid_invoices(YEAR.end)
        return len(seen)

    kiln = make_kiln()
    deliver([log_of_four()[1][0]])
    run_over(make_stack(slabs=1), Decimal(1), kiln)
    few = queries()
    for _ in range(4):
        deliver([log_of_four()[1][0]])
        run_over(make_stack(slabs=2), Decimal(1), kiln)
    assert queries() == few

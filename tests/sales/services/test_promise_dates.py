"""Promises of orders: from stored estimates through the kiln's queue, kept with the order, compared with what came."""

from datetime import timedelta

import pytest
from django.utils import timezone

from sales.models import Order, OrderState
from sales.services.promise_dates import order_promise, promises_record, record_words
from sales.services.quotes import quote_issue
from tests.kilns.make import make_kiln, make_run
from tests.make import make_estimate, make_slab, make_stack
from tests.sales.make import make_order
from yard.models import EstimateTarget
from yard.services.refused import Refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def today():
    return timezone.localdate()


def make_drying_order(ready_in=(20, 30, 50), target_pct=8.0, **fields):
    """An order of two slabs of a stack whose estimate says in how many days it is at a target MC."""
    stack = make_stack(slabs=2)
    cohort = stack.cohorts.get()
    estimate = make_estimate(cohort, mean_pct=30.0)
    low, mid, high = (timezone.localdate() + timedelta(days=one) for one in ready_in)
    EstimateTarget.objects.create(estimate=estimate, target_mc_pct=target_pct, low_on=low, mid_on=mid, high_on=high)
    return make_order(slabs=list(stack.slabs_now.all()), price="100", **fields)


def test_dry_slabs_are_promised_for_the_day_they_are_picked(yard, today):
    row = order_promise(by=None, order=make_order(slabs=2))
    assert (row.promise_date, row.promise_middle) == (today + timedelta(days=2), today + timedelta(days=2))
    assert row.promise_made_on == today


def test_wood_that_dries_in_the_air_alone_keeps_the_dates_of_its_estimate(yard, today):
    """At 8% in 20, 30 or 50 days; two more to pick."""
    row = order_promise(by=None, order=make_drying_order())
    assert abs((row.promise_date - today).days - 52) <= 1
    assert abs((row.promise_middle - today).days - 32) <= 1
    assert "drying" in row.promise_because["holds_up"]


def test_wood_that_needs_a_kiln_has_no_date_without_one(yard, today):
    row = order_promise(by=None, order=make_drying_order(target_pct=20.5))
    assert row.promise_date is None
    assert "No date holds nine times in ten" in row.promise_because["holds_up"]
    assert "There is no kiln" in row.promise_because["notes"][0]


def test_loose_wet_wood_is_not_promised(yard):
    with pytest.raises(Refused, match="Sticker it first"):
        order_promise(by=None, order=make_order(slabs=[make_slab(price=100)]))


def test_a_promise_needs_wood_and_an_inquiry(yard):
    with pytest.raises(Refused, match="no wood"):
        order_promise(by=None, order=make_order(slabs=0))
    with pytest.raises(Refused, match="stays as it was made"):
        order_promise(by=None, order=make_order(slabs=1, state=OrderState.ORDERED))


def test_a_quote_carries_the_promise_and_keeps_it(yard, today):
    order = order_promise(by=None, order=make_order(slabs=1))
    document = quote_issue(by=None, order=order)
    assert document.figures["promise_date"] == (today + timedelta(days=2)).isoformat()


def test_promise_does_not_turn_down_an_open_form(yard):
    order = make_order(slabs=1)
    assert order_promise(by=None, order=order).version == order.version


def made(today, promised, kept, state=OrderState.DELIVERED):
    order = make_order(slabs=0)
    Order.objects.filter(pk=order.pk).update(
        state=state, promise_made_on=today - timedelta(days=90), promise_date=today + timedelta(days=promised),
        promise_middle=today + timedelta(days=promised - 10), kept_on=kept and today + timedelta(days=kept),
    )  # fmt: skip
    return order


def test_record_counts_what_held_what_broke_and_leaves_out_the_rest(yard, today):
    made(today, promised=-20, kept=-30)  # by the middle date
    made(today, promised=-20, kept=-25)  # by the promised one
    late = made(today, promised=-20, kept=-17)
    overdue = made(today, promised=-5, kept=None, state=OrderState.ORDERED)
    made(today, promised=5, kept=None, state=OrderState.ORDERED)
    made(today, promised=-20, kept=None, state=OrderState.CANCELLED)
    made(today, promised=-20, kept=None, state=OrderState.QUOTED)
    record = promises_record(today=today)
    assert (record.ended, record.held, record.by_middle, record.open) == (4, 2, 1, 1)
    over = {one.order.pk: one.days_over for one in record.rows}
    assert (over[late.pk], over[overdue.pk]) == (3, 5)


def test_few_promises_are_said_to_leave_room():
    """Wilson's interval by hand: 9 of 10 at 90% is 0.652 to 0.977."""
    assert record_words(0, 0) == "No promise has come due yet."
    assert "from 65% to 98%" in record_words(10, 9)
    assert "takes longer than the program is told" in record_words(40, 20)


def test_wood_that_needs_the_kiln_waits_for_it(yard, today):
    """Ready for the kiln now, which is free: a run as the drying model gives it, three days of rest, two to pick."""
    make_kiln("Barn kiln")
    stack = make_stack(slabs=2)
    make_estimate(stack.cohorts.get(), mean_pct=19.0, ready_on=today, reached_now=0.95)
    row = order_promise(by=None, order=make_order(slabs=list(stack.slabs_now.all()), mc_pct=8.0))
    stages = row.promise_because["stages"]
    assert stages["run"] > 5
    assert (row.promise_middle - today).days == pytest.approx(stages["run"] + 3 + 2, abs=1.1)
    assert row.promise_date > row.promise_middle
    assert row.promise_because["lots"][0]["charge"] == row.promise_because["kilns"][0]["charges"][0]["key"]


def test_wood_in_a_planned_run_goes_with_that_run(yard, today):
    kiln = make_kiln("Barn kiln")
    stack = make_stack(slabs=2)
    make_estimate(stack.cohorts.get(), mean_pct=19.0, ready_on=today, reached_now=0.95)
    run = make_run(kiln=kiln, stacks=[stack])
    row = order_promise(by=None, order=make_order(slabs=list(stack.slabs_now.all()), mc_pct=8.0))
    assert row.promise_because["lots"][0]["charge"] == f"run {run.pk}"
    assert row.promise_date is not None


def test_a_yes_that_comes_late_moves_the_day_that_counts(yard, today):
    """Promised for 20 days ago, ordered 10 days ago, picked in two days: 8 days ago counts."""
    order = made(today, promised=-20, kept=-8)
    Order.objects.filter(pk=order.pk).update(ordered_on=today - timedelta(days=10))
    (one,) = promises_record(today=today).rows
    assert (one.held, one.due) == (True, today - timedelta(days=8))

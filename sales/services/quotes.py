"""From inquiry to quote to order: what is given to the buyer keeps its figures, and the slabs are held."""

from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from sales.models import Document, DocumentKind, LineKind, Order, OrderLine, OrderState
from sales.services.documents import document_issue
from sales.services.line_measures import refuse_out_of_step
from sales.services.orders import order_locked, order_save, refuse_unless_for_sale, sums_set
from sales.services.reservations import slabs_reserve
from sales.services.sale_settings import the_sale_settings
from yard.models import Person
from yard.services.refused import Refused


@transaction.atomic
def quote_issue(
    *,
    by: Person | None,
    order: Order,
    valid_until: date | None = None,
    version: int | None = None,
    on: date | None = None,
) -> Document:
    """Give the buyer a quote: the figures are frozen and, by the yard's habit, the slabs held until its last day.

    Errors: Refused without lines, for a line without a price, or a last day that has passed; Taken; ChangedMeanwhile.
    """
    row, habits, today = order_locked(order, version), the_sale_settings(), on or timezone.localdate()
    if row.state != OrderState.INQUIRY:
        raise Refused(f"Order {row.number} is {row.get_state_display().lower()}: only an inquiry is quoted.")
    valid_until = valid_until or today + timedelta(days=habits.quote_days)
    if valid_until < today:
        raise Refused("That day has passed: give a later one.", "valid_until")
    lines = _lines_with_prices(row)
    slab_lines = [line for line in lines if line.kind == LineKind.SLAB]
    refuse_unless_for_sale(row, [line.slab for line in slab_lines])
    refuse_out_of_step(row, lines)
    if habits.quotes_hold and slab_lines:
        slabs_reserve(lines=slab_lines, by=by, expires_on=valid_until)
    row.state, row.quoted_on, row.valid_until = OrderState.QUOTED, today, valid_until
    sums_set(row, lines)
    document = document_issue(by=by, order=row, kind=DocumentKind.QUOTE, on=today, lines=lines)
    order_save(row, by=by, action="quoted", changes={"state": ["inquiry", "quoted"]}, note=document.number)
    return document


@transaction.atomic
def quote_take_back(*, by: Person | None, order: Order) -> Order:
    """Make a quote an inquiry again, to change it; what was issued stays to be seen, holds stay until their day."""
    row = order_locked(order)
    if row.state != OrderState.QUOTED:
        raise Refused(f"Order {row.number} is {row.get_state_display().lower()}: there is no quote to take back.")
    row.state = OrderState.INQUIRY
    order_save(row, by=by, action="quote taken back", changes={"state": ["quoted", "inquiry"]})
    return row


@transaction.atomic
def order_accept(*, by: Person | None, order: Order, version: int | None = None, on: date | None = None) -> Order:
    """The buyer says yes: the slabs are promised until they leave or the order is cancelled.

    Errors: Refused for a quote that has run out, or lines without a price; Taken; ChangedMeanwhile.
    """
    row, today = order_locked(order, version), on or timezone.localdate()
    if row.state not in (OrderState.INQUIRY, OrderState.QUOTED):
        raise Refused(f"Order {row.number} is {row.get_state_display().lower()} already.")
    if row.state == OrderState.QUOTED and row.valid_until is not None and row.valid_until < today:
        raise Refused(f"The quote held until {row.valid_until:%Y-%m-%d}: take it back and quote it anew.")
    lines = _lines_with_prices(row)
    slab_lines = [line for line in lines if line.kind == LineKind.SLAB]
    if row.state == OrderState.INQUIRY:  # a quote that was given is kept
        refuse_unless_for_sale(row, [line.slab for line in slab_lines])
        refuse_out_of_step(row, lines)
    if slab_lines:
        slabs_reserve(lines=slab_lines, by=by)
    before, row.state, row.ordered_on = row.state, OrderState.ORDERED, today
    sums_set(row, lines)
    order_save(row, by=by, action="ordered", changes={"state": [before, row.state]})
    return row


def _lines_with_prices(order: Order) -> list[OrderLine]:
    lines = list(order.lines.standing().select_related("slab__owner", "answers"))
    if not lines:
        raise Refused("There is nothing in it yet: add slabs, or wood as asked for.")
    answered = {line.answers_id for line in lines}
    without = [line.words for line in lines if not line.is_priced and line.pk not in answered]
    if without:
        raise Refused(f"No price yet for {without[0]}: give it one, or add a rule.")
    return lines

"""Terms of an order: what a person changes on it, and the lines' footage that follows."""

from typing import Unpack

from django.db import transaction

from sales.models import Order
from sales.services.line_measures import lines_follow
from sales.services.orders import (
    OrderFields,
    order_fields,
    order_locked,
    order_save,
    promise_forget,
    refuse_unless_changeable,
    sums_set,
)
from yard.models import Person
from yard.services.history import changes_between, snapshot

ANY_TIME = frozenset({"own_note", "wanted_by"})
MEASURES = frozenset({"basis", "rounding", "mc_pct"})


@transaction.atomic
def order_change(*, by: Person | None, order: Order, version: int, **fields: Unpack[OrderFields]) -> Order:
    """Change an order that the caller saw at `version`; once quoted only what is on no document.

    The lines' footage follows another basis, rounding or MC, also where the price is by hand; prices stay.

    Errors: ChangedMeanwhile; Refused.
    """
    row = order_locked(order, version)
    before = snapshot(row, fields)
    for name, value in order_fields(fields).items():
        setattr(row, name, value)
    changes = changes_between(before, snapshot(row, fields))
    if changes.keys() - ANY_TIME:
        refuse_unless_changeable(row)
    if changes:
        if changes.keys() & MEASURES:
            lines_follow(row)
        sums_set(row)
        if "mc_pct" in changes and row.can_change:
            promise_forget(row)
        order_save(row, by=by, action="changed", changes=changes)
    return row

"""The wood goes: the delivery note is issued, our slabs are sold, other people's are handed back."""

from datetime import date

from django.db import transaction
from django.utils import timezone

from sales.models import Document, DocumentKind, LineKind, Order, OrderState
from sales.services.documents import document_issue
from sales.services.orders import order_locked, order_save, sums_set
from sales.services.picking import asked_short
from yard.models import Person
from yard.services.refused import Refused
from yard.services.slab_leaves import slabs_come_back, slabs_leave


@transaction.atomic
def order_deliver(
    *, by: Person | None, order: Order, on: date | None = None, version: int | None = None, unscanned: bool = False
) -> Document:
    """Let an order go, with its delivery note.

    Parameters: unscanned lets slabs go that nobody scanned, as when labels are lost.
    Errors: Refused for an order that is not ordered, for slabs not picked, for wood as asked for that no slab answers.
    """
    row, day = order_locked(order, version), on or timezone.localdate()
    if row.state not in (OrderState.ORDERED, OrderState.READY):
        raise Refused(f"Order {row.number} is {row.get_state_display().lower()}: it is delivered once it is ordered.")
    if short := asked_short(row):
        raise Refused(f"{short[0][0].words}: {short[0][1]}.")
    lines = list(row.lines.standing().select_related("slab", "answers"))
    slab_lines = [line for line in lines if line.kind == LineKind.SLAB]
    left = [line.slab.tag for line in slab_lines if line.picked_at is None]
    if left and not unscanned:
        raise Refused(f"Not picked yet: {', '.join(left[:5])}. Scan them, or say that they are there.", "unscanned")
    if slab_lines:
        slabs_leave(slabs=[line.slab for line in slab_lines], by=by, note=f"order {row.number}")
    before, row.state, row.delivered_on = row.state, OrderState.DELIVERED, day
    row.ready_on = row.ready_on or day
    row.kept_on = row.kept_on or row.ready_on
    sums_set(row, lines)
    document = document_issue(by=by, order=row, kind=DocumentKind.DELIVERY, on=day, lines=lines)
    row.delivery_number = document.number
    order_save(row, by=by, action="delivered", changes={"state": [before, row.state]}, note=document.number)
    return document


@transaction.atomic
def delivery_undo(*, by: Person | None, order: Order, because: str) -> Order:
    """Take a delivery back that was entered by mistake: the slabs are in the yard again, and still promised."""
    row = order_locked(order)
    if row.state != OrderState.DELIVERED:
        raise Refused(f"Order {row.number} is not delivered.")
    if not because.strip():
        raise Refused("Say why, in a few words.", "because")
    slabs = [line.slab for line in row.lines.standing().filter(kind=LineKind.SLAB).select_related("slab")]
    if slabs:
        slabs_come_back(slabs=slabs, by=by, note=f"order {row.number}: {because.strip()}")
    row.state, row.delivered_on, row.delivery_number = OrderState.READY, None, ""
    order_save(
        row, by=by, action="delivery taken back", changes={"state": ["delivered", "ready"]}, note=because.strip()
    )  # fmt: skip
    return row

"""Orders: the one module that writes their table. Steps from quote to cash are in files of their own and end here."""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any, TypedDict, Unpack

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from sales.models import LineKind, Order, OrderLine, OrderState
from sales.services.money import sums
from sales.services.order_numbers import with_next_number
from sales.services.reservations import reservations_release
from sales.services.sale_settings import the_sale_settings
from yard.models import Contact, Person, Slab
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.contacts import contact_change
from yard.services.history import history_add
from yard.services.refused import Refused
from yard.services.yard_settings import the_yard


class OrderFields(TypedDict, total=False):
    """What a person may set on an order."""

    asked_on: date
    wanted_by: date | None
    basis: str
    rounding: str
    mc_pct: float | None
    mc_how: str
    width_basis: str
    terms: str
    note: str
    own_note: str
    tax_pct: Decimal
    discount_pct: Decimal


EDITABLE = frozenset(OrderFields.__annotations__)


@transaction.atomic
def order_add(*, by: Person | None, buyer: Contact, **fields: Unpack[OrderFields]) -> Order:
    """Write down an inquiry; what is not given follows the yard's habits. The contact becomes a buyer."""
    habits, yard = the_sale_settings(), the_yard()
    chosen: dict[str, Any] = {
        "asked_on": timezone.localdate(), "basis": habits.basis, "rounding": habits.rounding,
        "width_basis": habits.width_basis, "mc_how": habits.mc_how, "terms": habits.quote_terms,
        "mc_pct": yard.dry_target_pct, "tax_pct": yard.tax_pct,
    } | order_fields(fields)  # fmt: skip

    def save(number: str) -> Order:
        return Order.objects.create(number=number, buyer=buyer, currency=yard.currency, **chosen)

    order = with_next_number(
        lambda start: Order.objects.filter(number__startswith=start).values_list("number", flat=True),
        save, prefix=habits.order_prefix, year=chosen["asked_on"].year,
    )  # fmt: skip
    if not buyer.is_buyer and not buyer.is_owner:
        contact_change(by=by, contact=buyer, version=buyer.version, is_buyer=True)
    history_add(order, by=by, action="added")
    return order


@transaction.atomic
def order_cancel(*, by: Person | None, order: Order, reason: str, version: int | None = None) -> Order:
    """Call an order off: its slabs are free again, its documents and payments stay. Errors: Refused."""
    row = order_locked(order, version)
    if row.state == OrderState.CANCELLED:
        return row
    if row.state == OrderState.DELIVERED:
        raise Refused(f"Order {row.number} is delivered: it can no longer be cancelled.")
    if row.invoice_number:
        raise Refused(f"Order {row.number} is invoiced: give a credit note for {row.invoice_number} first.")
    if not reason.strip():
        raise Refused("Say why, in a few words.", "reason")
    reservations_release(lines=row.lines.all(), because=f"order {row.number} cancelled")
    before, row.state = row.state, OrderState.CANCELLED
    row.cancelled_on, row.cancel_reason = timezone.localdate(), reason.strip()[:200]
    order_save(row, by=by, action="cancelled", changes={"state": [before, row.state]}, note=row.cancel_reason)
    return row


def order_locked(order: Order, version: int | None = None) -> Order:
    """The order as it stands, held until the transaction ends. Errors: ChangedMeanwhile."""
    row = Order.objects.select_for_update().get(pk=order.pk)
    if version is not None and row.version != version:
        raise ChangedMeanwhile(row)
    return row


def order_save(
    row: Order, *, by: Person | None, action: str, changes: Mapping[str, Any] | None = None, note: str = ""
) -> None:
    """Save a locked order with its history; for the services that take an order a step further."""
    row.version += 1
    row.save()
    history_add(row, by=by, action=action, changes=changes, note=note)


def next_position(order: Order) -> int:
    """Where the next line of an order stands."""
    return (order.lines.aggregate(last=Max("position"))["last"] or 0) + 1


def promise_forget(row: Order) -> None:
    """Take the promised date off a locked inquiry whose wood is another now; the caller saves it."""
    row.promise_made_on = row.promise_date = row.promise_middle = None
    row.promise_because = {}


def refuse_unless_for_sale(order: Order, slabs: Iterable[Slab]) -> None:
    """Errors: Refused for slabs that are gone, of somebody else than the buyer, or held back."""
    for slab in slabs:
        if slab.is_gone:
            raise Refused(f"{slab.tag} is {slab.get_state_display().lower()}.", "slabs")
        if slab.owner_id is not None and slab.owner_id != order.buyer_id:
            raise Refused(f"{slab.tag} belongs to {slab.owner}: it is not ours to sell.", "slabs")
        if slab.hold_back:
            raise Refused(f"{slab.tag} is marked as not for sale.", "slabs")


def sums_set(row: Order, lines: Iterable[OrderLine] | None = None) -> None:
    """Work out what a locked order comes to from its standing lines; the caller saves it."""
    standing = list(row.lines.standing()) if lines is None else list(lines)
    found = sums(
        [(line.total, line.taxed) for line in standing], discount_pct=row.discount_pct, tax_pct=row.tax_pct
    )  # fmt: skip
    row.lines_total, row.discount, row.tax, row.total = found.lines, found.discount, found.tax, found.total


def refuse_unless_changeable(order: Order) -> None:
    """Errors: Refused once an order is quoted."""
    if not order.can_change:
        raise Refused(f"Order {order.number} is {order.get_state_display().lower()}: take the quote back to change it.")


def lines_changed(row: Order, by: Person | None, action: str, changes: Mapping[str, Any], note: str = "") -> None:
    """Add up and save a locked order whose lines are others now, with its history."""
    sums_set(row)
    if row.can_change:
        promise_forget(row)  # it was of the wood that was in the order before
    unpicked = row.lines.standing().filter(kind=LineKind.SLAB, picked_at__isnull=True)
    if row.state == OrderState.READY and unpicked.exists():
        row.state, row.ready_on, row.kept_on = OrderState.ORDERED, None, None
    order_save(row, by=by, action=action, changes=changes, note=note)


def order_fields(fields: Mapping[str, Any]) -> dict[str, Any]:
    """What a person set on an order, without blanks around it. Errors: TypeError for what nobody sets."""
    unknown = fields.keys() - EDITABLE
    if unknown:
        raise TypeError(f"not a field that a person sets on an order: {', '.join(sorted(unknown))}")
    return {name: value.strip() if isinstance(value, str) else value for name, value in fields.items()}

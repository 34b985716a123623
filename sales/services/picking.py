"""Picking an order: each slab's label is scanned as it comes off the pile; a wrong one is told at once."""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from sales.models import LineKind, Order, OrderLine, OrderState
from sales.services.order_lines import lines_picked_set
from sales.services.orders import order_locked, order_save
from sales.services.reservations import holding
from yard.models import Person, Slab
from yard.services.refused import Refused
from yard.services.typed_slabs import slabs_typed


@dataclass(frozen=True, slots=True)
class Picked:
    """What a scan did: the lines now picked, those that were before, and how many are still to be picked."""

    lines: tuple[OrderLine, ...]
    before: tuple[OrderLine, ...]
    left: int


@transaction.atomic
def slabs_pick(*, by: Person | None, order: Order, text: str) -> Picked:
    """Mark slabs as picked by their tags, codes or scanned addresses, one or many.

    Errors: Refused for what names no slab, or one that is not in this order, with whose it is.
    """
    row = order_locked(order)
    if row.state not in (OrderState.ORDERED, OrderState.READY):
        raise Refused(f"Order {row.number} is {row.get_state_display().lower()}: it is picked once it is ordered.")
    typed = slabs_typed(text)
    if typed.unknown:
        raise Refused(f"Nothing here has the tag or code {', '.join(typed.unknown[:5])}.", "text")
    if not typed.slabs:
        raise Refused("Scan or type a tag or a code.", "text")
    lines = {line.slab_id: line for line in slab_lines(row)}
    if strange := [slab for slab in typed.slabs if slab.pk not in lines]:
        raise Refused(_not_ours(row, strange), "text")
    named = [lines[slab.pk] for slab in typed.slabs]
    new = [line for line in named if line.picked_at is None]
    lines_picked_set(lines=new, by=by, picked=True)
    left = sum(line.picked_at is None for line in lines.values()) - len(new)
    _ready_follows(row, by, left)
    return Picked(tuple(new), tuple(line for line in named if line.picked_at is not None), left)


@transaction.atomic
def pick_undo(*, by: Person | None, line: OrderLine) -> None:
    """Take a mark back: the slab is not on the pile after all."""
    row = order_locked(line.order)
    if row.state not in (OrderState.ORDERED, OrderState.READY):
        raise Refused(f"Order {row.number} is {row.get_state_display().lower()}.")
    lines_picked_set(lines=[line], by=by, picked=False)
    _ready_follows(row, by, left=1)


def slab_lines(order: Order) -> list[OrderLine]:
    """The slabs of an order with where each lies, those still to be picked first, by place."""
    found = order.lines.standing().filter(kind=LineKind.SLAB)
    found = found.select_related("slab__stack__bay", "slab__bay", "picked_by", "order")
    return sorted(found, key=lambda line: (line.picked_at is not None, _place(line.slab), line.position))


def asked_short(order: Order) -> list[tuple[OrderLine, str]]:
    """Lines of wood as asked for that slabs do not answer yet, each with what is missing."""
    asked = order.lines.standing().filter(kind=LineKind.ASKED)
    answers = {
        row["answers"]: row
        for row in order.lines.standing()
        .filter(answers__isnull=False)
        .values("answers")
        .annotate(feet=Sum("bf"), pieces=Sum("slab__count"))
    }
    short = []
    for line in asked:
        has = answers.get(line.pk, {"feet": 0, "pieces": 0})
        if line.count and (has["pieces"] or 0) < line.count:
            short.append((line, f"{line.count - (has['pieces'] or 0)} of {line.count} pieces missing"))
        elif line.bf_wanted and (has["feet"] or 0) < line.bf_wanted:
            short.append((line, f"{line.bf_wanted - (has['feet'] or 0):.1f} of {line.bf_wanted:g} bf missing"))
    return short


def _ready_follows(row: Order, by: Person | None, left: int) -> None:
    """All picked and nothing missing: the order is ready to go; a mark taken back undoes that."""
    is_ready = left == 0 and not asked_short(row)
    if is_ready and row.state == OrderState.ORDERED:
        row.state, row.ready_on = OrderState.READY, timezone.localdate()
        row.kept_on = row.kept_on or row.ready_on
        order_save(row, by=by, action="ready", changes={"state": ["ordered", "ready"]})
    elif not is_ready and row.state == OrderState.READY:
        row.state, row.ready_on, row.kept_on = OrderState.ORDERED, None, None
        order_save(row, by=by, action="not ready", changes={"state": ["ready", "ordered"]})


def _not_ours(order: Order, slabs: list[Slab]) -> str:
    held = {one.slab_id: one for one in holding(slabs, but=order)}
    words = []
    for slab in slabs:
        other = held.get(slab.pk)
        whose = f": it is for {other.line.order.buyer.name}, order {other.line.order.number}" if other else ""
        words.append(f"{slab.tag} is not in this order{whose}. Put it back.")
    return " ".join(words)


def _place(slab: Slab) -> str:
    if slab.stack is not None:
        return f"{slab.stack.bay.name if slab.stack.bay else ''} {slab.stack.tag}"
    return slab.bay.name if slab.bay else ""

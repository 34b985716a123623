"""Reservations: the one module that writes their table. A slab is promised once, and the database sees to it."""

from collections.abc import Iterable, Sequence
from datetime import date

from django.db import IntegrityError, transaction
from django.utils import timezone

from sales.models import Order, OrderLine, Reservation
from yard.models import Person, Slab
from yard.services.refused import Refused


class Taken(Refused):
    """The slab is promised to somebody else; the words say to whom."""

    def __init__(self, held: Sequence[Reservation]) -> None:
        self.held = tuple(held)
        super().__init__(" ".join(held_words(one) for one in held), "slabs")


def held_words(held: Reservation) -> str:
    """Who has a slab: "T-12 is promised to Anna Lind, order 2026-014, until 3 Mar 2026."."""
    order = held.line.order
    until = f", until {held.expires_on.day} {held.expires_on:%b %Y}" if held.expires_on else ""
    return f"{held.slab.tag} is promised to {order.buyer.name}, order {order.number}{until}."


def holding(slabs: Iterable[Slab | int], *, but: Order | None = None) -> list[Reservation]:
    """Who holds these slabs today, leaving out one order: one query."""
    ids = [getattr(slab, "pk", slab) for slab in slabs]
    found = Reservation.objects.holding(timezone.localdate()).filter(slab__in=ids)
    if but is not None:
        found = found.exclude(line__order=but)
    return list(found.select_related("slab", "line__order__buyer").order_by("slab__tag"))


def refuse_taken(slabs: Iterable[Slab | int], *, but: Order | None = None) -> None:
    """Say early what the database would refuse later. Errors: Taken."""
    if held := holding(slabs, but=but):
        raise Taken(held)


@transaction.atomic
def slabs_reserve(*, lines: Sequence[OrderLine], by: Person | None, expires_on: date | None = None) -> None:
    """Promise the slabs of these lines: all of them or, when somebody else has one, none.

    A line that holds its slab already gets the new last day. Holds of others that have run out make way.
    Errors: Taken, also when somebody else is a moment quicker; Refused for a slab that is gone meanwhile.
    """
    slab_ids = [line.slab_id for line in lines]
    _refuse_gone(slab_ids)
    run_out = Reservation.objects.run_out(timezone.localdate()).filter(slab__in=slab_ids).exclude(line__in=lines)
    run_out.update(released_at=timezone.now(), release_reason="its last day passed")
    own = Reservation.objects.live().filter(line__in=lines)
    own.update(expires_on=expires_on)
    held = set(own.values_list("slab_id", flat=True))
    new = [
        Reservation(slab_id=line.slab_id, line=line, by=by, expires_on=expires_on)
        for line in sorted(lines, key=lambda line: line.slab_id)  # one order of locks for all
        if line.slab_id not in held
    ]
    try:
        with transaction.atomic():
            Reservation.objects.bulk_create(new)
    except IntegrityError:
        others = holding(slab_ids, but=lines[0].order)
        if not others:
            raise
        raise Taken(others) from None


def _refuse_gone(slab_ids: Sequence[int]) -> None:
    """Locks the slabs, so that none is sold, split or voided at the very moment of the promise."""
    for slab in Slab.objects.select_for_update().filter(pk__in=slab_ids).order_by("pk"):
        if slab.is_gone:
            raise Refused(f"{slab.tag} is {slab.get_state_display().lower()}: take it off.", "slabs")


def reservations_release(*, lines: Iterable[OrderLine], because: str) -> int:
    """Let the slabs of these lines go; how many were held."""
    live = Reservation.objects.live().filter(line__in=lines)
    return live.update(released_at=timezone.now(), release_reason=because[:200])


def slab_held(slab: Slab) -> Reservation | None:
    """Who holds a slab today, with line, order and buyer."""
    held = holding([slab])
    return held[0] if held else None


def slab_tie(slab: Slab) -> str:
    """What stands against splitting, voiding or giving away a slab: it is promised."""
    held = slab_held(slab)
    return f"{held_words(held)} Take it out of that order first." if held else ""

"""The life of a slab, event by event: sawn, sealed, stacked, moved with its stack, called dry, gone."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F
from django.utils import timezone

from yard.models import Membership, Slab, SlabState, Stack, Stay


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to a slab; `stack` is the one to look at for more."""

    on: date
    words: str
    stack: Stack | None = None
    until: date | None = None


def slab_life(slab: Slab) -> list[Event]:
    """Everything that happened, the oldest first: two queries."""
    memberships = list(
        Membership.objects.filter(slab=slab).exclude(since=F("until")).select_related("stack").order_by("since", "id")
    )
    stays = list(
        Stay.objects.filter(stack__in={row.stack_id for row in memberships})
        .exclude(since=F("until"))
        .select_related("bay")
        .order_by("since", "id")
    )
    events = [*_starts(slab), *_in_stacks(memberships, stays), *_ends(slab)]
    return sorted(events, key=lambda event: event.on)


def _starts(slab: Slab) -> Iterator[Event]:
    if slab.split_from:
        yield Event(slab.sawn_on, f"Sawn, then split from {slab.split_from.tag}")
    elif slab.log:
        place = f", piece {slab.position}" if slab.position else ""
        yield Event(slab.sawn_on, f"Sawn from log {slab.log.tag}{place}")
    else:
        yield Event(slab.sawn_on, "Sawn elsewhere, bought in")
    if slab.ends_sealed_on:
        yield Event(slab.ends_sealed_on, "Ends sealed")


def _in_stacks(memberships: Sequence[Membership], stays: Sequence[Stay]) -> Iterator[Event]:
    for row in memberships:
        first, *moves = _while_there(row, [stay for stay in stays if stay.stack_id == row.stack_id]) or [None]
        course = f", course {row.course}" if row.course else ""
        where = f" in {first.bay.name}" if first else ""
        yield Event(_day(row.since), f"Into stack {row.stack.tag}{course}{where}", row.stack)
        for stay in moves:
            yield Event(_day(stay.since), f"Stack {row.stack.tag} moved to {stay.bay.name}", row.stack)
        if row.until:
            yield Event(_day(row.until), f"Out of stack {row.stack.tag}", row.stack)


def _while_there(row: Membership, stays: Iterable[Stay]) -> list[Stay]:
    """The stays of the stack that overlap the time the slab was in it."""
    return [
        stay
        for stay in stays
        if (stay.until is None or stay.until > row.since) and (row.until is None or stay.since < row.until)
    ]


def _ends(slab: Slab) -> Iterator[Event]:
    if slab.dry_on:
        measured = f" at {slab.dry_mc_pct:g}% MC" if slab.dry_mc_pct is not None else ""
        yield Event(slab.dry_on, f"Called dry{measured}")
    if slab.state in (SlabState.VOID, SlabState.SPLIT, SlabState.SOLD, SlabState.RETURNED):
        why = f": {slab.void_reason}" if slab.void_reason else ""
        yield Event(_day(slab.updated_at), f"{slab.get_state_display()}{why}")


def _day(at: datetime) -> date:
    return timezone.localtime(at).date()

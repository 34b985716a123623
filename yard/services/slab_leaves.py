"""Slabs that leave the yard: sold, or handed back to who owns them; and those that come back."""

from collections.abc import Sequence

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from yard.models import Person, Slab, SlabState, Stack
from yard.services.history import history_add_many
from yard.services.memberships import slabs_lock
from yard.services.refused import SlabRefused
from yard.services.stacks import stack_take_out


@transaction.atomic
def slabs_leave(*, slabs: Sequence[Slab], by: Person | None, note: str = "") -> list[Slab]:
    """Let slabs go: ours are sold, other people's are handed back. What stands in a stack is taken out first.

    Errors: SlabRefused for a slab that is gone already.
    """
    _take_out_of_stacks(slabs, by)  # locks stacks, then slabs, as everywhere
    rows = slabs_lock(slabs)
    if gone := [f"{slab.tag} is {slab.get_state_display().lower()}" for slab in rows if slab.is_gone]:
        raise SlabRefused(f"{', '.join(gone)}: take it off the list.", "slabs")
    for state, words, some in (
        (SlabState.SOLD, "sold", [slab for slab in rows if slab.owner_id is None]),
        (SlabState.RETURNED, "handed back", [slab for slab in rows if slab.owner_id is not None]),
    ):
        _state_set(some, state, words, by, note)
    return rows


@transaction.atomic
def slabs_come_back(*, slabs: Sequence[Slab], by: Person | None, note: str = "") -> list[Slab]:
    """Take slabs back that had been sold or handed back: they lie loose, dry if they were called dry.

    Errors: SlabRefused for a slab that never left.
    """
    rows = slabs_lock(slabs)
    if here := [slab.tag for slab in rows if slab.state not in (SlabState.SOLD, SlabState.RETURNED)]:
        raise SlabRefused(f"{', '.join(here)} never left.", "slabs")
    _state_set([slab for slab in rows if slab.dry_on], SlabState.DRY, "came back", by, note)
    _state_set([slab for slab in rows if not slab.dry_on], SlabState.SAWN, "came back", by, note)
    return rows


def _take_out_of_stacks(slabs: Sequence[Slab], by: Person | None) -> None:
    by_stack: dict[int, list[Slab]] = {}
    for slab in Slab.objects.filter(pk__in=[slab.pk for slab in slabs], stack__isnull=False).order_by("pk"):
        by_stack.setdefault(slab.stack_id, []).append(slab)
    for stack in Stack.objects.filter(pk__in=by_stack).order_by("pk"):
        stack_take_out(stack=stack, slabs=by_stack[stack.pk], at=timezone.now(), by=by)


def _state_set(rows: Sequence[Slab], state: SlabState, words: str, by: Person | None, note: str) -> None:
    if not rows:
        return
    for slab in rows:
        slab.state = state
        slab.version += 1
    Slab.objects.filter(pk__in=[slab.pk for slab in rows]).update(
        state=state, bay=None, version=F("version") + 1, updated_at=timezone.now()
    )
    history_add_many(Slab, [(slab.pk, slab.tag) for slab in rows], by=by, action=words, note=note)

"""What is done at the saw: a row a slab, repeat, undo, seal, kerf; each step is one transaction."""

import uuid

from django.db import transaction
from django.utils import timezone

from yard.models import Log, LogState, Person, Slab, SlabState
from yard.services.logs import log_change, log_start_sawing
from yard.services.refused import SlabRefused
from yard.services.saw_yield import slabs_of_log
from yard.services.slabs import SlabFields, slab_add, slab_change, slab_void

SAME_AGAIN = (
    "kind", "count", "quarters", "thickness_in", "widths_in", "tally", "length_in", "width_basis", "area_rule",
    "grade", "ends_sealed_on",
)  # fmt: skip


@transaction.atomic
def saw_add(
    *,
    by: Person | None,
    log: Log,
    client_key: uuid.UUID | str,
    fields: SlabFields,
    matched: bool = False,
) -> Slab:
    """Write down the next slab of a log; the log goes on the mill. `matched`: in a set with the one before.

    Errors: TagTaken, SlabRefused, OutsideRange, as `slab_add`; SlabRefused when there is nothing to match.
    """
    known = Slab.objects.filter(client_key=client_key).first()
    if known is not None:
        return known
    if log.state != LogState.ON_MILL:
        log = log_start_sawing(by=by, log=log)
    if matched:
        fields = {**fields, "matched_set": _set_with_last(by, log)}
    fields.setdefault("sawn_on", timezone.localdate())
    return slab_add(by=by, log=log, client_key=client_key, **fields)


@transaction.atomic
def saw_repeat(*, by: Person | None, log: Log, client_key: uuid.UUID | str) -> Slab:
    """Write down one more just like the last. Errors: SlabRefused when there is none yet."""
    last = slabs_of_log(log).last()
    if last is None:
        raise SlabRefused("There is no slab yet to repeat: type the first one.")
    same: SlabFields = {name: getattr(last, name) for name in SAME_AGAIN}  # type: ignore[assignment]
    return saw_add(by=by, log=log, client_key=client_key, fields=same)


@transaction.atomic
def saw_undo(*, by: Person | None, log: Log, slab: Slab) -> Slab:
    """Take the last row back: it is made void. Pressed twice it takes back one.

    Errors: SlabRefused when the slab is not the last, or no longer lies loose.
    """
    last = slabs_of_log(log).last()
    if slab.state != SlabState.VOID and (last is None or last.pk != slab.pk):
        raise SlabRefused(f"{slab.tag} is no longer the last row: open it to make it void.")
    return slab_void(by=by, slab=slab, reason="Taken back at the saw.")


@transaction.atomic
def saw_seal(*, by: Person | None, log: Log) -> int:
    """Note that the ends of all its loose slabs are sealed today; how many were not yet."""
    open_ended = list(slabs_of_log(log).filter(state=SlabState.SAWN, ends_sealed_on__isnull=True))
    for slab in open_ended:
        slab_change(by=by, slab=slab, version=slab.version, ends_sealed_on=timezone.localdate())
    return len(open_ended)


def saw_kerf(*, by: Person | None, log: Log, kerf_in: float | None) -> Log:
    """Keep the kerf that this log is sawn with; nothing: the usual one."""
    return log_change(by=by, log=log, version=log.version, kerf_in=kerf_in)


def _set_with_last(by: Person | None, log: Log) -> str:
    """The matched set of the last slab, a new one if it was in none."""
    last = slabs_of_log(log).last()
    if last is None:
        raise SlabRefused("There is no slab yet to match this one with.", "matched")
    if last.matched_set:
        return last.matched_set
    taken = set(log.slabs.exclude(matched_set="").values_list("matched_set", flat=True))
    names = (f"{log.tag[:24]} {letter}" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    name = next((name for name in names if name not in taken), f"{log.tag[:20]} {len(taken) + 1}")
    slab_change(by=by, slab=last, version=last.version, matched_set=name)
    return name

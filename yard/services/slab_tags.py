"""Tags of slabs: whether one is taken, and which is the next free one. Capitals make no difference."""

from collections.abc import Iterable, Sequence

from django.db.models import Max, Value
from django.db.models.functions import Lower

from yard.models import Log, Slab, SlabState

SERIES = 10_000  # how far a series of tags is followed before a person has to type one
BATCH = 20


def slab_tag_suggest(*, log: Log | None = None, parent: Slab | None = None) -> str:
    """The next free tag: 24-07-3 for the third slab of log 24-07, 24-07-3a for a piece, else S-1, S-2, ..."""
    if parent is not None:
        return first_free(f"{parent.tag[:24]}{letters}" for letters in _letters())
    if log is not None:
        start = next_position(log)
        return first_free(f"{log.tag[:24]}-{number}" for number in range(start, start + SERIES))
    newest = Slab.objects.filter(log__isnull=True, tag__startswith="S-").order_by("-id").first()
    tail = newest.tag[2:] if newest else ""
    start = int(tail) + 1 if tail.isdecimal() else 1
    return first_free(f"S-{number}" for number in range(start, start + SERIES))


def next_position(log: Log) -> int:
    """The place in sawing order of the next slab of this log."""
    last = log.slabs.exclude(state=SlabState.VOID).aggregate(last=Max("position"))["last"]
    return (last or 0) + 1


def tag_taken(tag: str, but: int | None = None) -> bool:
    """Whether a slab other than `but` has this tag."""
    return tag.strip() in _taken([tag.strip()], but)


def void_tag(tag: str) -> str:
    """What a void slab is called, so that its tag can be used again: "24-07-3 void"."""
    return first_free(
        f"{tag[:20]} void{mark}" for mark in ("", *(f" {number}" for number in range(2, SERIES)))
    )


def first_free(candidates: Iterable[str]) -> str:
    """The first of the candidates that no slab has; LookupError when all are taken."""
    batch: list[str] = []
    size = 1  # mostly the first is free
    for candidate in candidates:
        batch.append(candidate)
        if len(batch) == size:
            taken = _taken(batch)
            if len(taken) < len(batch):
                break
            batch, size = [], BATCH
    else:
        taken = _taken(batch) if batch else set()
    for candidate in batch:
        if candidate not in taken:
            return candidate
    raise LookupError("no free tag is left in this series")


def _taken(tags: Sequence[str], but: int | None = None) -> set[str]:
    """Those of the tags that slabs have, by the database's own reading of small and capital letters."""
    rows = (
        Slab.objects.alias(low=Lower("tag"))
        .exclude(pk=but)
        .filter(low__in=[Lower(Value(tag)) for tag in tags])
    )
    lows = {tag.lower() for tag in rows.values_list("tag", flat=True)}
    return {tag for tag in tags if tag.lower() in lows}


def _letters() -> Iterable[str]:
    """a, b, ... z, aa, ab, ..."""
    alphabet = "abcdefghijklmnopqrstuvwxyz"
    yield from alphabet
    for first in alphabet:
        yield from (first + second for second in alphabet)

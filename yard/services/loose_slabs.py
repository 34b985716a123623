"""Slabs that lie loose, to be picked for a stack: by words, newest first, and whole logs of them."""

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet
from django.db.models.functions import Coalesce

from yard.models import Log, Slab, SlabState
from yard.wood.species import find_species

SHOWN_AT_MOST = 60
LOOSE_STATES = (SlabState.SAWN, SlabState.DRY)


@dataclass(frozen=True, slots=True)
class LooseSlabs:
    """The newest green ones found, then dry ones; whether there are more; their logs with all loose slabs of each."""

    slabs: list[Slab]
    has_more: bool
    logs: list[tuple[Log, int]]


def loose_slabs(words: str = "") -> LooseSlabs:
    """Loose slabs by words in tag, log, wood, or thickness as 8/4; slabs of one log together. Three queries.

    One query a state: each walks the index of its state from the newest on and stops when it has enough. (Asked
    plainly for slabs without a stack, SQLite takes the index of stacks, reads all of them and sorts.)
    """
    found = _found(Slab.objects.alias(in_stack=Coalesce("stack_id", 0)).filter(in_stack=0), words)
    found = found.select_related("log").order_by("-sawn_on", "-id")
    rows = [slab for state in LOOSE_STATES for slab in found.filter(state=state)[: SHOWN_AT_MOST + 1]]
    shown = rows[:SHOWN_AT_MOST]
    logs = {slab.log_id: slab.log for slab in shown if slab.log_id}
    counts = dict(Slab.objects.loose().filter(log__in=logs).values_list("log").annotate(Count("id")).order_by())
    shown.sort(
        key=lambda slab: (
            slab.state == SlabState.DRY,
            -slab.sawn_on.toordinal(),
            slab.log_id or 0,
            slab.position or 0,
            slab.pk,
        )
    )
    return LooseSlabs(shown, len(rows) > len(shown), [(log, counts[pk]) for pk, log in logs.items()])


def _order(slab: Slab) -> tuple[bool, int, int, int, int]:
    """Green before dry, the newest first, slabs of one log in sawing order."""
    return slab.state == SlabState.DRY, -slab.sawn_on.toordinal(), slab.log_id or 0, slab.position or 0, slab.pk


def loose_of_log(log_id: int) -> list[Slab]:
    """The loose slabs of one log in sawing order."""
    return list(Slab.objects.loose().filter(log=log_id).order_by("position", "id"))


def _found(found: QuerySet[Slab], words: str) -> QuerySet[Slab]:
    for word in words.split()[:6]:
        said = Q(tag__icontains=word) | Q(log__tag__icontains=word) | Q(matched_set__iexact=word)
        if keys := _species_keys(word):
            said |= Q(species_key__in=keys)
        if word.endswith("/4") and word[:-2].replace(".", "", 1).isdigit():
            said = Q(quarters=float(word[:-2]))
        found = found.filter(said)
    return found


def _species_keys(word: str) -> list[str]:
    return [
        wood.key for wood in find_species(word) if word.lower() in f"{wood.common_name} {wood.botanical_name}".lower()
    ]

"""Slabs that lie loose, to be picked for a stack: by words, newest first, and whole logs of them."""

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from yard.models import Log, Slab
from yard.wood.species import find_species

SHOWN_AT_MOST = 60


@dataclass(frozen=True, slots=True)
class LooseSlabs:
    """The newest of what was found, whether there are more, and the logs they came from with their loose slabs."""

    slabs: list[Slab]
    has_more: bool
    logs: list[tuple[Log, int]]


def loose_slabs(words: str = "") -> LooseSlabs:
    """Loose slabs by words in tag, log, wood, or thickness as 8/4; slabs of one log together. Two queries."""
    found = _found(words).select_related("log").order_by("-sawn_on", "-id")
    rows = list(found[: SHOWN_AT_MOST + 1])
    shown = rows[:SHOWN_AT_MOST]
    logs = {slab.log_id: slab.log for slab in shown if slab.log_id}
    counts = dict(Slab.objects.loose().filter(log__in=logs).values_list("log").annotate(Count("id")).order_by())
    shown.sort(key=lambda slab: (-slab.sawn_on.toordinal(), slab.log_id or 0, slab.position or 0, slab.pk))
    return LooseSlabs(shown, len(rows) > len(shown), [(log, counts[pk]) for pk, log in logs.items()])


def loose_of_log(log_id: int) -> list[Slab]:
    """The loose slabs of one log in sawing order."""
    return list(Slab.objects.loose().filter(log=log_id).order_by("position", "id"))


def _found(words: str) -> QuerySet[Slab]:
    found = Slab.objects.loose()
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

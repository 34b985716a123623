"""What lay beside a slab in its log, and what belongs to its matched set."""

from dataclasses import dataclass

from yard.models import Slab, SlabState


@dataclass(frozen=True, slots=True)
class Neighbours:
    """The pieces sawn before and after, and the others of its set in sawing order."""

    before: Slab | None
    after: Slab | None
    matched: list[Slab]


def slab_neighbours(slab: Slab) -> Neighbours:
    """Those that still have a record: at most three queries."""
    before = after = None
    if slab.log_id and slab.position:
        same_log = Slab.objects.filter(log=slab.log_id).exclude(state=SlabState.VOID)
        before = same_log.filter(position__lt=slab.position).order_by("-position").first()
        after = same_log.filter(position__gt=slab.position).order_by("position").first()
    matched: list[Slab] = []
    if slab.matched_set:
        same_set = Slab.objects.filter(matched_set=slab.matched_set, log=slab.log_id).exclude(pk=slab.pk)
        matched = list(same_set.exclude(state=SlabState.VOID).order_by("position", "id")[:30])
    return Neighbours(before, after, matched)

"""Cohorts: which slabs of a stack dry alike, and which estimates must be made again.

Only this module writes the cohort table, but for the estimate that the estimate service hangs on it.
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta

from django.db.models import Avg, Exists, OuterRef
from django.utils import timezone

from yard.models import Cohort, Membership, Slab, Stack

# Common practice, no source: pieces sawn and stickered within a fortnight are taken as having started together.
ALIKE_WITHIN = timedelta(days=14)
EIGHTHS_PER_IN = 8


def thickness_eighths(thickness_in: float) -> int:
    """The thickness in eighths of an inch, the nearest: pieces of one figure count as equally thick.

    >>> thickness_eighths(2.0), thickness_eighths(2.05), thickness_eighths(2.07)
    (16, 16, 17)
    """
    return int(thickness_in * EIGHTHS_PER_IN + 0.5)


def cohorts_join(*, stack: Stack, slabs: Sequence[Slab], at: datetime) -> dict[int, Cohort]:
    """Find or make the cohort of each slab that comes into `stack` at `at`; returns slab id to cohort.

    A slab joins a cohort of the stack of the same species and thickness (nearest 1/8 in) that came from the
    same earlier cohort, was sawn within 14 days of it and came into the stack within 14 days of it. One that
    was out of this very stack for no more than 14 days goes back to its cohort. Otherwise it starts a cohort.
    """
    cohorts = list(Cohort.objects.filter(stack=stack, left_at__isnull=True).order_by("id"))
    out_since = _last_left(slabs)
    joined: dict[int, Cohort] = {}
    for slab in sorted(slabs, key=lambda slab: (_started_on(slab), slab.pk)):
        cohort = _gone_back(slab, stack, at, out_since.get(slab.pk)) or _alike(slab, cohorts, at)
        if cohort is None:
            cohort = _start(slab, stack, at)
        if cohort not in cohorts:
            cohorts.append(cohort)
        _reach(cohort, at)
        joined[slab.pk] = cohort
    return joined


def _started_on(slab: Slab) -> date:
    return slab.cohort.started_on if slab.cohort else slab.sawn_on


def _last_left(slabs: Sequence[Slab]) -> dict[int, datetime]:
    rows = Membership.objects.filter(slab__in=slabs, until__isnull=False).order_by("until")
    return dict(rows.values_list("slab_id", "until"))


def _gone_back(slab: Slab, stack: Stack, at: datetime, left: datetime | None) -> Cohort | None:
    cohort = slab.cohort
    if cohort is None or cohort.stack_id != stack.pk or left is None or at - left > ALIKE_WITHIN:
        return None
    return cohort


def _alike(slab: Slab, cohorts: Sequence[Cohort], at: datetime) -> Cohort | None:
    for cohort in cohorts:
        if (
            cohort.species_key == slab.species_key
            and thickness_eighths(cohort.thickness_in) == thickness_eighths(slab.thickness_in)
            and cohort.came_from_id == slab.cohort_id
            and abs(cohort.started_on - _started_on(slab)) <= ALIKE_WITHIN
            and abs(cohort.joined_at - at) <= ALIKE_WITHIN
        ):
            return cohort
    return None


def _start(slab: Slab, stack: Stack, at: datetime) -> Cohort:
    return Cohort.objects.create(
        stack=stack,
        species_key=slab.species_key,
        thickness_in=slab.thickness_in,
        started_on=_started_on(slab),
        joined_at=at,
        came_from=slab.cohort,
        start_mc_pct=slab.cohort.start_mc_pct if slab.cohort else None,
    )


def _reach(cohort: Cohort, at: datetime) -> None:
    """Open a closed cohort again, and let it begin as early as its first slab."""
    if cohort.left_at is not None or at < cohort.joined_at:
        cohort.left_at, cohort.joined_at = None, min(at, cohort.joined_at)
        cohort.save(update_fields=["left_at", "joined_at"])


def cohorts_settle(*, cohort_ids: Iterable[int], at: datetime) -> None:
    """After slabs came or went: mean thickness, left once the last slab has gone, estimates to be made again."""
    ids = list(set(cohort_ids))
    thickness = dict(
        Membership.objects.filter(cohort__in=ids)
        .values_list("cohort")
        .annotate(mean_in=Avg("slab__thickness_in"))
        .order_by("cohort")
    )
    changed = []
    for cohort in Cohort.objects.filter(pk__in=ids):
        if abs(thickness[cohort.pk] - cohort.thickness_in) > 1e-9:
            cohort.thickness_in = thickness[cohort.pk]
            changed.append(cohort)
    Cohort.objects.bulk_update(changed, ["thickness_in"])
    inside = Membership.objects.filter(cohort=OuterRef("pk"), until__isnull=True)
    Cohort.objects.filter(~Exists(inside), pk__in=ids, left_at__isnull=True).update(left_at=at)
    cohort_mark_stale(cohort_ids=ids)


def cohort_mark_stale(*, cohort_ids: Iterable[int]) -> int:
    """Say that the newest estimates of these cohorts, and of those that came from them, have missed something.

    `stale_since` becomes now each time: a recompute clears it only where it still is what it was when the
    recompute began. Returns how many cohorts were marked.
    """
    ids = with_descendants(cohort_ids)
    return Cohort.objects.filter(pk__in=ids).update(stale_since=timezone.now())


def with_descendants(cohort_ids: Iterable[int]) -> set[int]:
    """The cohorts and all that came from them by restacking."""
    found: set[int] = set()
    newest = set(cohort_ids)
    while newest:
        found |= newest
        newest = set(Cohort.objects.filter(came_from__in=newest).values_list("pk", flat=True)) - found
    return found

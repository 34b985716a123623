"""Where the wood of a cohort has been from the saw to now: bays with since and until, the weather left aside."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time
from zoneinfo import ZoneInfo

from django.db.models import F, Max
from django.utils import timezone

from yard.models import Bay, Cohort, Membership, Stay


@dataclass(frozen=True, slots=True)
class AirSpan:
    """From `since` until `until` (None: still) the wood was in `bay`; without a bay it lay loose in the yard.

    `cohort` is the one whose observations count in this span, `stack_id` the stack that it was in.
    """

    cohort: Cohort
    stack_id: int | None
    bay: Bay | None
    since: datetime
    until: datetime | None


def air_history(cohort: Cohort) -> list[AirSpan]:
    """The spans of one cohort, oldest first, without a gap from the day it was sawn."""
    return air_histories([cohort])[cohort.pk]


def air_histories(cohorts: Iterable[Cohort]) -> dict[int, list[AirSpan]]:
    """The spans of each cohort by its id; the number of queries grows only with the depth of restacking."""
    chains = _chains(list(cohorts))
    links = {link.pk: link for chain in chains.values() for link in chain}
    stays = _stays({link.stack_id for link in links.values()})
    left = _left_for(links)
    return {pk: _spans(chain, stays, left) for pk, chain in chains.items()}


def cohort_chain(cohort: Cohort) -> list[Cohort]:
    """The cohorts that this wood has been in, the first one first and `cohort` last."""
    return _chains([cohort])[cohort.pk]


def _chains(cohorts: list[Cohort]) -> dict[int, list[Cohort]]:
    known = {cohort.pk: cohort for cohort in cohorts}
    wanted = {cohort.came_from_id for cohort in cohorts} - {None} - known.keys()
    while wanted:
        found = Cohort.objects.in_bulk(wanted)
        known |= found
        wanted = {cohort.came_from_id for cohort in found.values()} - {None} - known.keys()
    chains = {}
    for cohort in cohorts:
        chain, link = [cohort], cohort
        while link.came_from_id is not None:
            link = known[link.came_from_id]
            chain.append(link)
        chains[cohort.pk] = chain[::-1]
    return chains


def _stays(stack_ids: set[int]) -> dict[int, list[Stay]]:
    by_stack: dict[int, list[Stay]] = {}
    rows = Stay.objects.filter(stack__in=stack_ids).exclude(since=F("until"))
    for stay in rows.select_related("bay", "bay__sensor").order_by("since", "pk"):
        by_stack.setdefault(stay.stack_id, []).append(stay)
    return by_stack


def _left_for(links: dict[int, Cohort]) -> dict[tuple[int, int], datetime]:
    """When the wood of a cohort left the one it came from: the last of its slabs to do so."""
    rows = (
        Membership.objects.filter(cohort__in=links, cohort__came_from__isnull=False)
        .filter(slab__memberships__cohort=F("cohort__came_from"), slab__memberships__until__lte=F("since"))
        .values_list("cohort_id", "cohort__came_from_id")
        .annotate(left=Max("slab__memberships__until"))
        .order_by()
    )
    return {(cohort_id, earlier_id): left for cohort_id, earlier_id, left in rows}


def _spans(chain: list[Cohort], stays: dict[int, list[Stay]], left: dict[tuple[int, int], datetime]) -> list[AirSpan]:
    spans: list[AirSpan] = []
    reached = _start_of_day(chain[0])
    for link, later in zip(chain, [*chain[1:], None], strict=True):
        end = min(left.get((later.pk, link.pk), later.joined_at), later.joined_at) if later else link.left_at
        for stay in stays.get(link.stack_id, []):
            since = max(stay.since, link.joined_at, reached)
            until = _earlier(stay.until, end)
            if until is not None and until <= since:
                continue
            if since > reached:
                spans.append(AirSpan(link, None, None, reached, since))
            spans.append(AirSpan(link, link.stack_id, stay.bay, since, until))
            if until is None:
                return spans
            reached = until
    last = chain[-1]
    spans.append(AirSpan(last, None, None, reached, None))
    return spans


def _start_of_day(cohort: Cohort) -> datetime:
    zone = timezone.get_current_timezone()
    sawn = datetime.combine(cohort.started_on, time(), zone if isinstance(zone, ZoneInfo) else ZoneInfo("UTC"))
    return min(sawn, cohort.joined_at)


def _earlier(one: datetime | None, other: datetime | None) -> datetime | None:
    if one is None or other is None:
        return one or other
    return min(one, other)

"""Which slab is in which stack: the intervals, and `Slab.stack`, `cohort`, `bay` and `state` that say the same.

Only this module writes them, and only the stack service calls it.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Case, F, Q, QuerySet, Value, When, prefetch_related_objects
from django.utils import timezone

from yard.models import GONE, Bay, BayKind, Membership, Slab, SlabState, Stack
from yard.services.cohorts import cohorts_join, cohorts_settle

NAMED_AT_MOST = 5


def slabs_lock(slabs: Iterable[Slab]) -> list[Slab]:
    """The slabs as they are now, in the order given, held until the transaction ends; none twice."""
    ids = [slab.pk for slab in slabs]
    if not ids:
        raise ValidationError({"slabs": "No slabs were given: scan or pick at least one."})
    rows = list(Slab.objects.select_for_update().order_by("pk").filter(pk__in=ids))
    prefetch_related_objects(rows, "cohort")  # after the lock: a joined row would not be read anew
    now = {slab.pk: slab for slab in rows}
    twice = {pk for pk in ids if ids.count(pk) > 1} if len(now) < len(ids) else set()
    if twice:
        raise ValidationError({"slabs": f"Listed twice: {listed(now[pk].tag for pk in twice)}."})
    return [now[pk] for pk in ids]


def memberships_open(
    *, stack: Stack, slabs: Sequence[Slab], courses: Sequence[int], bay: Bay | None, at: datetime
) -> None:
    """Put locked slabs into a stack that stands in `bay`, from `at` on, in these courses, bottom first."""
    _check_can_join(slabs, at)
    with refused_by_database(slabs):
        cohorts = cohorts_join(stack=stack, slabs=slabs, at=at)
        places: dict[int, int] = {}
        rows = []
        for slab, course in zip(slabs, courses, strict=True):
            places[course] = places.get(course, 0) + 1
            rows.append(
                Membership(
                    slab=slab,
                    stack=stack,
                    cohort=cohorts[slab.pk],
                    course=course,
                    place=places[course],
                    since=at,
                )
            )
        Membership.objects.bulk_create(rows)
        _write_joined(stack, rows, bay)
    cohorts_settle(cohort_ids={row.cohort_id for row in rows}, at=at)


def _write_joined(stack: Stack, rows: Sequence[Membership], bay: Bay | None) -> None:
    by_cohort: dict[int, list[int]] = {}
    for row in rows:
        by_cohort.setdefault(row.cohort_id, []).append(row.slab_id)
    for cohort_id, slab_ids in by_cohort.items():
        Slab.objects.filter(pk__in=slab_ids).update(
            stack=stack, cohort=cohort_id, bay=None, state=state_inside(bay), updated_at=timezone.now()
        )


def memberships_close(*, slabs: Sequence[Slab], at: datetime, lie_in: Bay | None) -> None:
    """Take locked slabs out of the stacks they are in; from then on they lie loose in `lie_in`.

    A slab taken out at the very moment it came in was never there: it goes back to its earlier cohort.
    """
    rows = list(Membership.objects.filter(slab__in=slabs, until__isnull=True).select_related("slab", "stack", "cohort"))
    loose = {slab.pk: slab.tag for slab in slabs}
    for row in rows:
        loose.pop(row.slab_id)
        if row.since > at:
            raise ValidationError(
                {
                    "at": f"{row.slab.tag} came into {row.stack.tag} on {when(row.since)}: "
                    "choose that moment or a later one."
                }
            )
    if loose:
        raise ValidationError({"slabs": f"Not in a stack: {listed(loose.values())}."})
    Membership.objects.filter(pk__in=[row.pk for row in rows]).update(until=at)
    Slab.objects.filter(pk__in=[row.slab_id for row in rows]).update(
        stack=None, bay=lie_in, state=state_outside(), updated_at=timezone.now()
    )
    for row in rows:
        if row.since == at:
            Slab.objects.filter(pk=row.slab_id).update(cohort=row.cohort.came_from_id)
    cohorts_settle(cohort_ids={row.cohort_id for row in rows}, at=at)


def states_follow_bay(*, stack: Stack, bay: Bay | None) -> None:
    """Give the slabs of a stack the state that its new bay means."""
    Slab.objects.filter(stack=stack).update(state=state_inside(bay), updated_at=timezone.now())


def state_inside(bay: Bay | None) -> Case | Value:
    """State of a slab in a stack that comes to `bay`: in a dry store it is dry only if it was marked dry."""
    if bay is not None and bay.kind == BayKind.KILN:
        return Value(SlabState.KILN)
    if bay is not None and bay.kind == BayKind.DRY_STORE:
        return Case(When(dry_on__isnull=False, then=Value(SlabState.DRY)), default=Value(SlabState.STACKED))
    return Value(SlabState.STACKED)


def state_outside() -> Case:
    """State of a slab in no stack: dry only if it was marked dry."""
    return Case(When(dry_on__isnull=False, then=Value(SlabState.DRY)), default=Value(SlabState.SAWN))


def members(stack: Stack) -> QuerySet[Membership]:
    """The slabs in a stack now, bottom course first."""
    return (
        Membership.objects.filter(stack=stack, until__isnull=True)
        .select_related("slab", "cohort")
        .order_by(F("course").asc(nulls_last=True), F("place").asc(nulls_last=True), "id")
    )


def memberships_arrange(*, stack: Stack, slabs: Sequence[Slab], courses: Sequence[int]) -> None:
    """Write the courses of all slabs in the stack, in the order given."""
    rows = {row.slab_id: row for row in members(stack)}
    if set(rows) != {slab.pk for slab in slabs} or len(rows) != len(slabs):
        missing = listed(row.slab.tag for pk, row in rows.items() if pk not in {s.pk for s in slabs})
        strange = listed(slab.tag for slab in slabs if slab.pk not in rows)
        words = f" Left out: {missing}." * bool(missing) + f" Not in this stack: {strange}." * bool(strange)
        raise ValidationError({"slabs": "The order must name each slab of the stack once." + words})
    places: dict[int, int] = {}
    for slab, course in zip(slabs, courses, strict=True):
        places[course] = places.get(course, 0) + 1
        rows[slab.pk].course, rows[slab.pk].place = course, places[course]
    Membership.objects.bulk_update(rows.values(), ["course", "place"])


# ---- What the database or the rules refuse, in words


def _check_can_join(slabs: Sequence[Slab], at: datetime) -> None:
    gone = [f"{slab.tag} ({slab.get_state_display().lower()})" for slab in slabs if slab.state in GONE]
    if gone:
        raise ValidationError({"slabs": f"No longer in the yard: {listed(gone)}."})
    day = timezone.localdate(at)
    green = [f"{slab.tag} ({_day(slab.sawn_on)})" for slab in slabs if slab.sawn_on > day]
    if green:
        raise ValidationError({"at": f"Sawn after {_day(day)}: {listed(green)}. Choose a later day."})
    elsewhere = where_they_are(slabs, at)
    if elsewhere:
        raise ValidationError({"slabs": elsewhere})


def where_they_are(slabs: Sequence[Slab], at: datetime) -> str:
    """A sentence that names the stacks in which these slabs are, or were after `at`; empty when nowhere."""
    rows = (
        Membership.objects.filter(Q(until__isnull=True) | Q(until__gt=at), slab__in=slabs)
        .exclude(since=F("until"))
        .select_related("slab", "stack", "stack__bay")
        .order_by("slab__tag", "since")
    )
    words = [
        f"{row.slab.tag} is in {row.stack.tag}{_standing(row.stack)} since {when(row.since)}"
        if row.until is None
        else f"{row.slab.tag} was in {row.stack.tag} until {when(row.until)}"
        for row in rows
    ]
    if not words:
        return ""
    return f"{listed(words, '; ')}. Take out or restack what is in another stack, or choose a later moment."


def _standing(stack: Stack) -> str:
    return f" ({stack.bay.name})" if stack.bay else ""


@contextmanager
def refused_by_database(slabs: Sequence[Slab]) -> Iterator[None]:
    """Say in words where the slabs are when the database refuses a second stack for one of them."""
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        if "slab_in_one_stack" not in str(error) and "yard_membership.slab_id" not in str(error):
            raise
        earliest = datetime.min.replace(tzinfo=timezone.get_current_timezone())
        elsewhere = where_they_are(slabs, earliest) or "Another stack has just taken one of these slabs."
        raise ValidationError({"slabs": elsewhere}) from error


def listed(words: Iterable[str], comma: str = ", ") -> str:
    """The first few of a list in words: `A, B, C and 4 more`."""
    words = list(words)
    rest = len(words) - NAMED_AT_MOST
    return comma.join(words[:NAMED_AT_MOST]) + (f" and {rest} more" if rest > 0 else "")


def when(at: datetime) -> str:
    """A moment in words, in the yard's zone."""
    local = timezone.localtime(at)
    return f"{_day(local)} {local:%H:%M}"


def _day(day) -> str:
    return f"{day.day} {day:%b %Y}"

"""Estimates that something has overtaken: made anew a few at a time while a person waits, the rest later."""

from yard.models import Cohort, Stack
from yard.services.estimates import estimates_refresh, estimates_refresh_stale
from yard.services.weather import NoPlaceError
from yard.wood.ranges import OutsideRange

AT_ONCE = 12  # about as many as two cores make anew in a few seconds (our own limit)


def estimates_refresh_some(*, because: str) -> str:
    """Make some stale estimates anew, the longest overdue first, and say what became of them."""
    try:
        made = estimates_refresh_stale(because=because, most=AT_ONCE)
    except (NoPlaceError, OutsideRange) as error:
        return f"No estimate could be made: {error}"
    left = stale_count()
    if not made and not left:
        return ""
    done = f"{made} estimate{'' if made == 1 else 's'} made anew."
    return f"{done} {left} more wait and are made within the day." if left else done


def estimates_refresh_stack(*, stack: Stack, because: str) -> None:
    """Make what is stale of one stack's wood anew, after it was built, moved or changed; without air it stays so."""
    stale = Cohort.objects.filter(stack=stack, stale_since__isnull=False, left_at__isnull=True)
    try:
        estimates_refresh(cohort_ids=list(stale.values_list("pk", flat=True)[:AT_ONCE]), because=because)
    except (NoPlaceError, OutsideRange):
        return  # the stack's page and the weather page say what is missing


def stale_count() -> int:
    """How many estimates of standing wood have missed something."""
    return Cohort.objects.filter(stale_since__isnull=False, left_at__isnull=True).count()

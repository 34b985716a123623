"""Which stack stood in which bay: the intervals, and `Stack.bay` that says the same.

Only this module writes them, and only the stack service calls it.
"""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Q
from django.utils import timezone

from yard.models import Bay, Cohort, Stack, Stay
from yard.services.cohorts import cohort_mark_stale
from yard.services.memberships import states_follow_bay, when


def check_not_in_future(at: datetime) -> None:
    """Refuse a moment that has not come yet, or one without a time zone."""
    if timezone.is_naive(at):
        raise TypeError("a moment needs its time zone")
    if at > timezone.now():
        raise ValidationError({"at": f"{when(at)} has not come yet: choose now or an earlier moment."})


def bay_lock(bay: Bay) -> Bay:
    """The bay as it is now, held until the transaction ends; one that is no longer used is refused."""
    row = Bay.objects.select_for_update().get(pk=bay.pk)
    if row.closed_on is not None:
        raise ValidationError({"bay": f"{row.name} is closed: choose another bay."})
    return row


def stay_open(*, stack: Stack, bay: Bay, at: datetime) -> Stay:
    """Let a locked stack stand in a locked bay from `at` on, ending the stay before; its slabs' states follow."""
    stay_close(stack=stack, at=at)
    try:
        with transaction.atomic():
            stay = Stay.objects.create(stack=stack, bay=bay, since=at)
    except IntegrityError as error:
        if "stack_in_one_bay" not in str(error) and "yard_stay.stack_id" not in str(error):
            raise
        raise ValidationError({"bay": where_it_stands(stack)}) from error
    _write_bay(stack, bay)
    states_follow_bay(stack=stack, bay=bay)
    mark_air_changed(stack=stack, since=at)
    return stay


def stay_close(*, stack: Stack, at: datetime) -> None:
    """End the stay of a locked stack; refuse a moment before it began or inside an earlier one."""
    last = stack.stays.order_by("-since", "-pk").select_related("bay").first()
    if last is None:
        return
    if at < last.since or (last.until is not None and at < last.until):
        came = f"{stack.tag} came to {last.bay.name} on {when(last.since)}"
        raise ValidationError({"at": f"{came}: choose that moment or a later one."})
    if last.until is None:
        last.until = at
        last.save(update_fields=["until"])
    _write_bay(stack, None)


def _write_bay(stack: Stack, bay: Bay | None) -> None:
    stack.bay = bay
    stack.save(update_fields=["bay", "updated_at"])


def bay_at(*, stack: Stack, at: datetime) -> Bay | None:
    """The bay in which a stack stood at a moment."""
    stays = stack.stays.filter(Q(until__isnull=True) | Q(until__gt=at), since__lte=at)
    stay = stays.select_related("bay").order_by("-since").first()
    return stay.bay if stay else stack.bay


def where_it_stands(stack: Stack) -> str:
    """A sentence that says where a stack stands now."""
    stay = stack.stays.filter(until__isnull=True).select_related("bay").first()
    if stay is None:
        return f"{stack.tag} stood in another bay at that time."
    return f"{stack.tag} stands in {stay.bay.name} since {when(stay.since)}."


def mark_air_changed(*, stack: Stack, since: datetime) -> None:
    """The air of the cohorts that were in the stack at or after `since` is another one than thought."""
    touched = Cohort.objects.filter(Q(left_at__isnull=True) | Q(left_at__gt=since), stack=stack)
    cohort_mark_stale(cohort_ids=touched.values_list("pk", flat=True))


def bay_full_warning(bay: Bay) -> str:
    """A sentence when more stacks stand in a bay than fit, else empty. Call it after the move."""
    standing = Stack.objects.standing().filter(bay=bay).count()
    if standing <= bay.places:
        return ""
    fit = "1 stack" if bay.places == 1 else f"{bay.places} stacks"
    return f"{bay.name} is meant for {fit}, and {standing} stand there now."

"""Which slabs lay in the load of a run at a time: stacks gain and lose slabs before, during and after."""

from datetime import datetime

from django.db.models import F, Q, QuerySet

from kilns.models import Run
from yard.models import GONE, Membership, Slab


def slabs_in_load(run: Run, since: datetime, until: datetime) -> QuerySet[Slab]:
    """The slabs that lay in the run's stacks all through a stretch of time, by tag."""
    rows = Membership.objects.filter(Q(until__isnull=True) | Q(until__gte=until), stack__in_runs__run=run)
    return Slab.objects.filter(pk__in=rows.filter(since__lte=since).values("slab")).order_by("tag")


def slabs_of_charge(run: Run) -> QuerySet[Slab]:
    """The slabs that a run dries, by tag: those in its stacks, and of stacks taken down meanwhile all that lay there.

    What went into a stack that stands elsewhere, or left the yard, is no longer of it.
    """
    rows = Membership.objects.filter(stack__in_runs__run=run)
    rows = rows.filter(Q(until__isnull=True) | Q(until=F("stack__taken_down_at")))
    here = Q(stack__isnull=True) | Q(stack__in_runs__run=run) | Q(stack__bay=run.kiln.bay_id)
    found = Slab.objects.filter(here, pk__in=rows.values("slab")).exclude(state__in=GONE)
    return found.distinct().order_by("tag")

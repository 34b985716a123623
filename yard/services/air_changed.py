"""The air of some days is known better now: which wood stood in it, so that its estimates are made again."""

from datetime import date

from django.db.models import Q, QuerySet

from yard.models import Bay, BayAir, Cohort, Sensor
from yard.services.cohorts import cohort_mark_stale


def weather_changed(*, first: date, last: date) -> int:
    """The yard's weather of these days changed; returns how many estimates are out of date by it."""
    return cohort_mark_stale(cohort_ids=_drying(first, last).values_list("pk", flat=True))


def sensor_changed(*, sensor: Sensor, first: date, last: date) -> int:
    """A sensor's days changed: the weather's, or that of the bays it hangs in."""
    if sensor.is_outdoor:
        return weather_changed(first=first, last=last)
    bays = Bay.objects.filter(air=BayAir.SENSOR, sensor=sensor)
    stood = Q(stack__stays__until__isnull=True) | Q(stack__stays__until__date__gte=first)
    there = _drying(first, last).filter(stood, stack__stays__bay__in=bays, stack__stays__since__date__lte=last)
    return cohort_mark_stale(cohort_ids=set(there.values_list("pk", flat=True)))


def _drying(first: date, last: date) -> QuerySet[Cohort]:
    """Cohorts that lay or stood in the yard on one of these days, or on one before that they still go by."""
    return Cohort.objects.filter(Q(left_at__isnull=True) | Q(left_at__date__gte=first), started_on__lte=last)

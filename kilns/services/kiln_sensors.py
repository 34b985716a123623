"""Which sensor stands where in which kiln. Only this module writes that table."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from kilns.models import Kiln, KilnSensor, SensorPlace
from yard.models import Person, Sensor
from yard.services.history import history_add
from yard.services.memberships import when

SILENT_LOW_MIN, SILENT_HIGH_MIN = 2, 7 * 24 * 60


@transaction.atomic
def kiln_sensor_put(
    *, kiln: Kiln, sensor: Sensor, place: str, by: Person | None, silent_after_min: int = 60,
    since: datetime | None = None,
) -> KilnSensor:  # fmt: skip
    """Say where a sensor stands in a kiln from now on, or since a moment gone; in the same kiln it changes its place.

    Errors: ValidationError for a retired sensor, one that stands in another kiln, or a span or moment that cannot be.
    """
    held = Sensor.objects.select_for_update().get(pk=sensor.pk)
    if held.retired_on is not None:
        raise ValidationError({"sensor": f"{held.name} is retired: nothing more is taken of it."})
    if not SILENT_LOW_MIN <= silent_after_min <= SILENT_HIGH_MIN:
        raise ValidationError({"silent_after_min": f"Choose {SILENT_LOW_MIN} to {SILENT_HIGH_MIN:,} minutes."})
    now = timezone.now()
    since = since or now
    if since > now:
        raise ValidationError({"since": "That is in the future."})
    there = KilnSensor.objects.filter(sensor=held, until__isnull=True).select_related("kiln").first()
    if there is not None and there.kiln_id != kiln.pk:
        raise ValidationError({"sensor": f"{held.name} stands in {there.kiln.name} already: take it out there first."})
    elsewhere = (
        KilnSensor.objects.filter(sensor=held, until__gt=since).exclude(kiln=kiln).select_related("kiln").first()
    )
    if elsewhere is not None:
        words = f"{held.name} stood in {elsewhere.kiln.name} until {when(elsewhere.until)}: choose a later moment."
        raise ValidationError({"since": words})
    if there is not None and there.place == place:
        there.silent_after_min = silent_after_min
        there.save(update_fields=["silent_after_min"])
        return there
    if there is not None:
        there.until = max(since, there.since)
        there.save(update_fields=["until"])
    row = KilnSensor(kiln=kiln, sensor=held, place=place, silent_after_min=silent_after_min, since=since)
    row.clean_fields(exclude=["kiln", "sensor"])
    row.save(force_insert=True)
    history_add(kiln, by=by, action="sensor put in", note=f"{held.name}: {SensorPlace(place).label}")
    return row


@transaction.atomic
def kiln_sensor_take_out(*, place: KilnSensor, by: Person | None) -> None:
    """The sensor stands there no longer; what it measured stays the kiln's."""
    row = KilnSensor.objects.select_for_update(of=("self",)).get(pk=place.pk)
    if row.until is None:
        row.until = timezone.now()
        row.save(update_fields=["until"])
        history_add(row.kiln, by=by, action="sensor taken out", note=row.sensor.name)

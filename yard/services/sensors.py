"""Sensors: adding, changing, retiring them. Only this module writes their table."""

from typing import Any, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Value
from django.db.models.functions import Lower
from django.utils import timezone

from yard.models import Bay, BayAir, Person, Sensor
from yard.services.air_changed import weather_changed
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot


class SensorFields(TypedDict, total=False):
    """What a person may set on a sensor."""

    name: str
    kind: str
    is_outdoor: bool
    note: str


@transaction.atomic
def sensor_add(*, by: Person | None, **fields: Unpack[SensorFields]) -> Sensor:
    """Add a sensor. Errors: ValidationError for a name taken, or a second one for the yard's weather."""
    sensor = Sensor()
    _set(sensor, dict(fields))
    sensor.save(force_insert=True)
    history_add(sensor, by=by, action="added")
    return sensor


@transaction.atomic
def sensor_change(*, sensor: Sensor, by: Person | None, version: int, **fields: Unpack[SensorFields]) -> Sensor:
    """Change a sensor seen at `version`. Errors: ChangedMeanwhile; ValidationError as for `sensor_add`."""
    row = Sensor.objects.select_for_update().get(pk=sensor.pk)
    if row.version != version:
        raise ChangedMeanwhile(row)
    before = snapshot(row, fields)
    _set(row, dict(fields))
    changes = changes_between(before, snapshot(row, fields))
    if not changes:
        return row
    row.version += 1
    row.save()
    if "is_outdoor" in changes:
        _weather_is_another(row)
    history_add(row, by=by, action="changed", changes=changes)
    return row


@transaction.atomic
def sensor_retire(*, sensor: Sensor, by: Person | None) -> Sensor:
    """Take no more readings of it; what it measured stays. Errors: ValidationError while a bay goes by it."""
    row = Sensor.objects.select_for_update().get(pk=sensor.pk)
    goes_by_it = Bay.objects.filter(sensor=row, air=BayAir.SENSOR, closed_on__isnull=True)
    bays = list(goes_by_it.values_list("name", flat=True))
    if bays:
        raise ValidationError(f"The air of {', '.join(bays)} is told by {row.name}: give that another air first.")
    if row.retired_on is None:
        row.retired_on = timezone.localdate()
        row.version += 1
        row.save(update_fields=["retired_on", "version", "updated_at"])
        history_add(row, by=by, action="retired")
    return row


@transaction.atomic
def sensor_column_map_keep(*, sensor: Sensor, column_map: dict[str, Any]) -> None:
    """Remember how this sensor's files are read."""
    Sensor.objects.filter(pk=sensor.pk).update(column_map=column_map, updated_at=timezone.now())
    sensor.column_map = column_map


def _set(sensor: Sensor, fields: dict[str, Any]) -> None:
    unknown = fields.keys() - SensorFields.__annotations__.keys()
    if unknown:
        raise TypeError(f"not a field of a sensor: {', '.join(sorted(unknown))}")
    for name, value in fields.items():
        setattr(sensor, name, value.strip() if isinstance(value, str) else value)
    sensor.clean_fields()
    others = Sensor.objects.exclude(pk=sensor.pk)
    same = others.alias(low=Lower("name")).filter(low=Lower(Value(sensor.name))).first()
    if same is not None:
        raise ValidationError({"name": f"Another sensor is called {same.name}: choose another name."})
    if sensor.is_outdoor:
        outdoor = others.filter(is_outdoor=True).first()
        if outdoor is not None:
            words = f"{outdoor.name} stands for the yard's weather already: take that off it first."
            raise ValidationError({"is_outdoor": words})
        if sensor.kind == "core":
            raise ValidationError({"is_outdoor": "A probe in the wood tells nothing of the weather."})


def _weather_is_another(sensor: Sensor) -> None:
    """All days of this sensor are weather now, or no longer."""
    days = sensor.days.order_by("day").values_list("day", flat=True)
    first, last = days.first(), days.last()
    if first is not None:
        weather_changed(first=first, last=last)

"""Bays: adding, changing, closing and opening them. Only this module writes their table."""

from typing import Any, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Value
from django.db.models.functions import Lower
from django.utils import timezone

from yard.models import Bay, BayAir, Cohort, Person, Sensor, Slab, Stack
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.cohorts import cohort_mark_stale
from yard.services.history import changes_between, history_add, snapshot
from yard.services.memberships import listed, states_follow_bay

AIR_FIELDS = frozenset({"air", "offset_temp_f", "offset_rh_pct", "steady_temp_f", "steady_rh_pct", "sensor", "kind"})
MAP_WIDTH = 12  # squares of the map from left to right
MAP_TILE = (3, 2)  # squares that a new bay takes: from left to right, from top to bottom
# The program's own guards, no source: what the air of a bay can be.
COLDEST_F, HOTTEST_F, MOST_OFFSET_F, MOST_OFFSET_PCT = -40.0, 250.0, 80.0, 60.0


class BayFields(TypedDict, total=False):
    """What a person may set on a bay."""

    name: str
    kind: str
    air: str
    offset_temp_f: float
    offset_rh_pct: float
    steady_temp_f: float | None
    steady_rh_pct: float | None
    sensor: Sensor | None
    places: int
    map_x: int
    map_y: int
    map_w: int
    map_h: int
    note: str


@transaction.atomic
def bay_add(*, by: Person | None, **fields: Unpack[BayFields]) -> Bay:
    """Add a bay; without a place on the map it gets the next free one.

    Errors: ValidationError for a name taken, or air that is not fully told.
    """
    bay = Bay()
    if "map_x" not in fields:
        fields.setdefault("map_w", MAP_TILE[0])
        fields.setdefault("map_h", MAP_TILE[1])
        fields["map_x"], fields["map_y"] = free_map_place(fields["map_w"], fields["map_h"])
    _set(bay, dict(fields))
    bay.save(force_insert=True)
    history_add(bay, by=by, action="added")
    return bay


@transaction.atomic
def bay_change(*, bay: Bay, by: Person | None, version: int, **fields: Unpack[BayFields]) -> Bay:
    """Change a bay seen at `version`; when its air changes, all wood that stood there is estimated anew.

    Errors: ChangedMeanwhile; ValidationError as for `bay_add`.
    """
    row = Bay.objects.select_for_update().get(pk=bay.pk)
    if row.version != version:
        raise ChangedMeanwhile(row)
    before = snapshot(row, fields)
    _set(row, dict(fields))
    changes = changes_between(before, snapshot(row, fields))
    if not changes:
        return row
    row.version += 1
    row.save()
    if changes.keys() & AIR_FIELDS:
        bay_air_changed(bay=row)
    if "kind" in changes:
        for stack in Stack.objects.standing().filter(bay=row):
            states_follow_bay(stack=stack, bay=row)
    history_add(row, by=by, action="changed", changes=changes)
    return row


@transaction.atomic
def bay_close(*, bay: Bay, by: Person | None) -> Bay:
    """Take a bay out of use; it must be empty. Its past stays.

    Errors: ValidationError naming what still stands or lies there.
    """
    row = Bay.objects.select_for_update().get(pk=bay.pk)
    inside = list(Stack.objects.standing().filter(bay=row).values_list("tag", flat=True))
    inside += Slab.objects.standing().filter(bay=row).values_list("tag", flat=True)
    if inside:
        raise ValidationError(f"{row.name} is not empty: {listed(inside)}. Move that first.")
    if row.closed_on is None:
        row.closed_on = timezone.localdate()
        row.version += 1
        row.save(update_fields=["closed_on", "version", "updated_at"])
        history_add(row, by=by, action="closed")
    return row


@transaction.atomic
def bay_open_again(*, bay: Bay, by: Person | None) -> Bay:
    """Take a closed bay into use again."""
    row = Bay.objects.select_for_update().get(pk=bay.pk)
    if row.closed_on is not None:
        row.closed_on = None
        row.version += 1
        row.save(update_fields=["closed_on", "version", "updated_at"])
        history_add(row, by=by, action="opened again")
    return row


def bay_air_changed(*, bay: Bay) -> int:
    """The air of a bay is known differently now: mark every cohort that ever stood there, and its followers."""
    touched = Cohort.objects.filter(stack__stays__bay=bay).values_list("pk", flat=True)
    return cohort_mark_stale(cohort_ids=set(touched))


def free_map_place(width: int, height: int) -> tuple[int, int]:
    """The first free place on the map for a bay of that size, row by row from the top left."""
    taken = [
        (bay.map_x, bay.map_y, bay.map_x + bay.map_w, bay.map_y + bay.map_h)
        for bay in Bay.objects.filter(closed_on__isnull=True)
    ]
    y = 0
    while True:
        for x in range(MAP_WIDTH - width + 1):
            if not any(
                x < right and left < x + width and y < bottom and top < y + height for left, top, right, bottom in taken
            ):
                return x, y
        y += 1


def _set(bay: Bay, fields: dict[str, Any]) -> None:
    unknown = fields.keys() - BayFields.__annotations__.keys()
    if unknown:
        raise TypeError(f"not a field of a bay: {', '.join(sorted(unknown))}")
    for name, value in fields.items():
        setattr(bay, name, value.strip() if isinstance(value, str) else value)
    bay.clean_fields()
    same = Bay.objects.alias(low=Lower("name")).filter(low=Lower(Value(bay.name))).exclude(pk=bay.pk).first()
    if same is not None:
        raise ValidationError({"name": f"Another bay is called {same.name}: choose another name."})
    _check_air(bay)


def _check_air(bay: Bay) -> None:
    """The figures that the bay's air needs are there and can be."""
    wrong: dict[str, str] = {}
    if bay.air == BayAir.STEADY:
        if bay.steady_temp_f is None or not COLDEST_F <= bay.steady_temp_f <= HOTTEST_F:
            wrong["steady_temp_f"] = "Give the temperature that is held there."
        if bay.steady_rh_pct is None or not 1 <= bay.steady_rh_pct <= 99:
            wrong["steady_rh_pct"] = "Give the relative humidity that is held there, 1 to 99%."
    if bay.air == BayAir.OFFSET:
        if abs(bay.offset_temp_f) > MOST_OFFSET_F:
            wrong["offset_temp_f"] = f"More than {MOST_OFFSET_F:g} °F above or under the weather cannot be."
        if abs(bay.offset_rh_pct) > MOST_OFFSET_PCT:
            wrong["offset_rh_pct"] = f"More than {MOST_OFFSET_PCT:g}% above or under the weather cannot be."
    if bay.air == BayAir.SENSOR and bay.sensor_id is None:
        wrong["sensor"] = "Choose the sensor that hangs in this bay."
    if bay.places < 1:
        wrong["places"] = "At least one stack must fit."
    if bay.map_w < 1 or bay.map_h < 1 or bay.map_x + bay.map_w > MAP_WIDTH:
        wrong["map_x"] = f"The map is {MAP_WIDTH} squares wide: the bay must lie within it."
    if wrong:
        raise ValidationError(wrong)

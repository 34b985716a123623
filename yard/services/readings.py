"""Sensor readings come in: kept once each, and the days they touch averaged anew.

Only this module writes readings and the days made of them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from django.db import transaction
from django.utils import timezone

from yard.models import Reading, Sensor, SensorDay, Yard
from yard.services.air_changed import sensor_changed
from yard.services.reading_columns import ReadingColumns, day_means, local_clock, utc_seconds
from yard.services.reading_listeners import readings_tell
from yard.services.reading_rows import rows_keep

ROWS_AT_A_TIME = 5000
ASKED_ONE_BY_ONE = 500  # so many times are asked for by themselves, more by the span that they cover
HOURS_FOR_A_DAY = 12  # fewer different hours than this and the day's average is not trusted (our own limit)


@dataclass(frozen=True)
class ReadingIn:
    """One reading as it arrives: an aware time and whatever the sensor gives."""

    at: datetime
    temp_f: float | None = None
    rh_pct: float | None = None
    wet_bulb_f: float | None = None
    core_f: float | None = None


@dataclass(frozen=True)
class ReadingsTaken:
    """What became of a batch: how many were new, how many the yard already had, which days they touch."""

    new: int
    known: int
    first_day: date | None
    last_day: date | None
    other: int = 0
    """Of those known, how many had other figures: a clock that was set back does that. What was kept first stays."""


def readings_record(*, sensor: Sensor, rows: Iterable[ReadingIn]) -> ReadingsTaken:
    """Keep readings of a sensor; a repeated (sensor, time) is the same reading and changes nothing."""
    held = list(rows)
    columns = ReadingColumns(
        np.array([row.at.astimezone(UTC).replace(tzinfo=None) for row in held], dtype="datetime64[us]"),
        *(np.array([_nan(getattr(row, name)) for row in held]) for name in ReadingColumns.MEASURES),
    )
    return readings_import(sensor=sensor, columns=columns)


@transaction.atomic
def readings_import(*, sensor: Sensor, columns: ReadingColumns) -> ReadingsTaken:
    """Keep many readings given as columns; as `readings_record`, of the same time the first counts."""
    if not len(columns):
        return ReadingsTaken(0, 0, None, None)
    Sensor.objects.select_for_update().get(pk=sensor.pk)  # two batches at once: each day's mean is of both
    given, columns = len(columns), columns.once()
    zone = ZoneInfo(Yard.objects.get(pk=1).time_zone)
    days, hours = local_clock(columns.at_utc, zone)
    touched = np.unique(days)
    had = _days_with_readings(sensor, touched)
    new = rows_keep(sensor, columns)
    if new:
        _average(sensor, columns, days, hours, touched, had, zone)
        _tell(sensor, touched)
        readings_tell(sensor)
    other = _others(sensor, columns) if new < len(columns) else 0
    return ReadingsTaken(new, given - new, touched[0].item(), touched[-1].item(), other)


def sensor_days_rebuild(*, sensor: Sensor) -> int:
    """Average every day of a sensor anew, as after a change of the yard's time zone; returns how many days."""
    zone = ZoneInfo(Yard.objects.get(pk=1).time_zone)
    with transaction.atomic():
        SensorDay.objects.filter(sensor=sensor).delete()
        first = Reading.objects.filter(sensor=sensor).order_by("at").values_list("at", flat=True).first()
        last = Reading.objects.filter(sensor=sensor).order_by("-at").values_list("at", flat=True).first()
        if first is None:
            return 0
        start, end = first.astimezone(zone).date(), last.astimezone(zone).date()
        year = start
        while year <= end:
            stop = min(year + timedelta(days=365), end)
            kept = _stored(sensor, year, stop, zone)
            _write_days(sensor, kept, *local_clock(kept.at_utc, zone))
            year = stop + timedelta(days=1)
    return SensorDay.objects.filter(sensor=sensor).count()


def _nan(value: float | None) -> float:
    return float("nan") if value is None else value


def _others(sensor: Sensor, columns: ReadingColumns) -> int:
    """How many of these times are kept with other figures than those given here."""
    few = len(columns) <= ASKED_ONE_BY_ONE
    times = [when.replace(tzinfo=UTC) for when in (columns.at_utc if few else columns.at_utc[[0, -1]]).tolist()]
    kept = Reading.objects.filter(sensor=sensor, **({"at__in": times} if few else {"at__range": times}))
    held = _as_columns(kept.order_by("at"))
    _, ours, theirs = np.intersect1d(columns.at_utc, held.at_utc, assume_unique=True, return_indices=True)
    differ = np.zeros(len(ours), dtype=bool)
    for name in ReadingColumns.MEASURES:
        given, had = getattr(columns, name)[ours], getattr(held, name)[theirs]
        differ |= ~np.isclose(given, had, rtol=0, atol=1e-6, equal_nan=True)
    return int(differ.sum())


def _days_with_readings(sensor: Sensor, touched: np.ndarray) -> np.ndarray:
    span = (touched[0].item(), touched[-1].item())
    found = SensorDay.objects.filter(sensor=sensor, day__range=span).values_list("day", flat=True)
    return np.array(sorted(found), dtype="datetime64[D]")


def _average(sensor, columns, days, hours, touched, had, zone) -> None:
    """Days that are new by the batch itself; days that had readings before by all that is kept of them."""
    fresh = ~np.isin(days, had)
    _write_days(sensor, columns.some(fresh), days[fresh], hours[fresh])
    again = touched[np.isin(touched, had)]
    for run in np.split(again, np.flatnonzero(np.diff(again).astype(int) > 1) + 1):
        if len(run):
            kept = _stored(sensor, run[0].item(), run[-1].item(), zone)
            _write_days(sensor, kept, *local_clock(kept.at_utc, zone))


def _stored(sensor: Sensor, first: date, last: date, zone: ZoneInfo) -> ReadingColumns:
    start, end = (utc_seconds(day, zone) for day in (first, last + timedelta(days=1)))
    return _as_columns(Reading.objects.filter(sensor=sensor, at__gte=start, at__lt=end).order_by("at"))


def _as_columns(rows) -> ReadingColumns:
    held = list(rows.values_list("at", *ReadingColumns.MEASURES).iterator(chunk_size=ROWS_AT_A_TIME))
    return ReadingColumns(
        np.array([at.astimezone(UTC).replace(tzinfo=None) for at, *_ in held], dtype="datetime64[us]"),
        *(np.array([_nan(row[place]) for row in held]) for place in range(1, 1 + len(ReadingColumns.MEASURES))),
    )


def _write_days(sensor: Sensor, columns: ReadingColumns, days: np.ndarray, hours: np.ndarray) -> None:
    if not len(columns):
        return
    elevation_ft = Yard.objects.values_list("elevation_ft", flat=True).get(pk=1)
    SensorDay.objects.bulk_create(
        [SensorDay(sensor=sensor, **row) for row in day_means(columns, days, hours, elevation_ft)],
        batch_size=ROWS_AT_A_TIME,
        update_conflicts=True,
        unique_fields=["sensor", "day"],
        update_fields=["temp_f", "rh_pct", "readings", "hours"],
    )


def _tell(sensor: Sensor, touched: np.ndarray) -> None:
    """Whole days that are over and can be trusted make estimates out of date; today's go on changing."""
    whole = SensorDay.objects.filter(
        sensor=sensor,
        day__range=(touched[0].item(), touched[-1].item()),
        day__lt=timezone.localdate(),
        hours__gte=HOURS_FOR_A_DAY,
    )
    first = whole.order_by("day").values_list("day", flat=True).first()
    if first is not None:
        sensor_changed(sensor=sensor, first=first, last=touched[-1].item())

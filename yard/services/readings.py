"""Sensor readings come in: kept once each, and the days they touch averaged anew."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from django.db import transaction

from yard.models import Reading, Sensor, SensorDay, Yard
from yard.wood.humid_air import rh_pct_from_wet_bulb
from yard.wood.ranges import OutsideRange

BATCH_ROWS = 2000
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
    """What became of a batch: how many were new, how many the yard already had, which days changed."""

    new: int
    known: int
    first_day: date | None
    last_day: date | None


def readings_record(*, sensor: Sensor, rows: Iterable[ReadingIn]) -> ReadingsTaken:
    """Keep readings of a sensor; a repeated (sensor, time) is the same reading and changes nothing."""
    zone = ZoneInfo(Yard.objects.get(pk=1).time_zone)
    seen = 0
    days: set[date] = set()
    with transaction.atomic():
        before = _count(sensor)
        batch: list[Reading] = []
        for row in rows:
            seen += 1
            days.add(row.at.astimezone(zone).date())
            batch.append(
                Reading(
                    sensor=sensor,
                    at=row.at,
                    temp_f=row.temp_f,
                    rh_pct=row.rh_pct,
                    wet_bulb_f=row.wet_bulb_f,
                    core_f=row.core_f,
                )
            )
            if len(batch) == BATCH_ROWS:
                Reading.objects.bulk_create(batch, ignore_conflicts=True)
                batch = []
        Reading.objects.bulk_create(batch, ignore_conflicts=True)
        new = _count(sensor) - before
        if new:
            for day in sorted(days):
                sensor_day_average(sensor=sensor, day=day, zone=zone)
    return ReadingsTaken(
        new=new, known=seen - new, first_day=min(days, default=None), last_day=max(days, default=None)
    )


def sensor_day_average(*, sensor: Sensor, day: date, zone: ZoneInfo) -> SensorDay | None:
    """Average one local day of readings: by the hour first, so that a busy hour does not weigh more."""
    start = datetime.combine(day, time(), zone).astimezone(UTC)
    end = datetime.combine(day + timedelta(days=1), time(), zone).astimezone(UTC)
    rows = list(
        Reading.objects.filter(sensor=sensor, at__gte=start, at__lt=end).values_list(
            "at", "temp_f", "rh_pct", "wet_bulb_f"
        )
    )
    if not rows:
        SensorDay.objects.filter(sensor=sensor, day=day).delete()
        return None
    hours = np.array([int((at - start).total_seconds() // 3600) for at, *_ in rows])
    temps = np.array([np.nan if temp is None else temp for _at, temp, _rh, _wet in rows])
    humidities = np.array([_humidity(temp, rh, wet) for _at, temp, rh, wet in rows])
    row, _created = SensorDay.objects.update_or_create(
        sensor=sensor,
        day=day,
        defaults={
            "temp_f": _mean_of_hours(hours, temps),
            "rh_pct": _mean_of_hours(hours, humidities),
            "readings": len(rows),
            "hours": len(np.unique(hours)),
        },
    )
    return row


def _humidity(temp_f: float | None, rh_pct: float | None, wet_bulb_f: float | None) -> float:
    if rh_pct is not None:
        return rh_pct
    if temp_f is None or wet_bulb_f is None:
        return float("nan")
    try:
        return rh_pct_from_wet_bulb(temp_f, wet_bulb_f)
    except OutsideRange:
        return float("nan")


def _mean_of_hours(hours: np.ndarray, values: np.ndarray) -> float | None:
    held = ~np.isnan(values)
    if not held.any():
        return None
    means = [values[held & (hours == hour)].mean() for hour in np.unique(hours[held])]
    return float(np.mean(means))


def _count(sensor: Sensor) -> int:
    return Reading.objects.filter(sensor=sensor).count()

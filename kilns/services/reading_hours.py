"""Readings by the hour: what charts of a run are drawn from. Only this module writes their tables.

The yard counts the readings of each sensor and day. A day whose count differs from what its hours were made from is
made anew when somebody looks; a late or repeated reading does no harm, and a chart reads hours, not minutes.
"""

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import OperationalError, connection, transaction
from django.db.models import Avg, Exists, F, IntegerField, Max, Min, OuterRef, Sum
from django.db.models.functions import Cast

from kilns.models import ReadingHour, ReadingHoursDay
from yard.models import Reading, SensorDay
from yard.services.reading_columns import utc_seconds

HOUR_S = 3600
MEASURES = (("temp_f", "temp", "f"), ("rh_pct", "rh", "pct"), ("wet_bulb_f", "wet_bulb", "f"), ("core_f", "core", "f"))
FIELDS = tuple(f"{stem}_{of}_{unit}" for _, stem, unit in MEASURES for of in ("low", "high", "mean"))
AGGREGATES = {"low": Min, "high": Max, "mean": Avg}
CHARTED = tuple(name for name in FIELDS if not name.startswith("wet_bulb_") or "_mean_" in name)
# what a chart asks for: a wet bulb is a line without a band


def hour_of(at: datetime) -> int:
    """The number of the hour that a moment lies in, from 1970 in UTC.

    >>> hour_of(datetime(1970, 1, 2, 1, 59, tzinfo=UTC))
    25
    """
    return int(at.timestamp()) // HOUR_S


def hours_refresh(*, sensor_ids: Sequence[int], first: date, last: date, zone: ZoneInfo) -> int:
    """Make the hours of the days anew whose readings have changed; returns how many days those were.

    One query where nothing has changed, a few more where something has.
    """
    made = ReadingHoursDay.objects.filter(sensor=OuterRef("sensor"), day=OuterRef("day"), readings=OuterRef("readings"))
    days = SensorDay.objects.filter(~Exists(made), sensor__in=sensor_ids, day__range=(first, last))
    stale = {(sensor, day): count for sensor, day, count in days.values_list("sensor_id", "day", "readings")}
    try:
        if stale:
            _make_anew(stale, zone)
    except OperationalError:
        return 0  # somebody is writing for long, such as a large file: the chart shows what was there, and tries again
    return len(stale)


@transaction.atomic
def _make_anew(stale: dict[tuple[int, date], int], zone: ZoneInfo) -> None:
    sensors = sorted({sensor for sensor, _ in stale})
    days = [day for _, day in stale]
    rows = []
    for start, end in _spans(days, zone):
        rows += [ReadingHour(**row) for row in _hours(sensors, start, end)]
    rows.sort(key=lambda row: (row.sensor_id, row.hour))  # in one order: two who look at once do not wait in a ring
    ReadingHour.objects.bulk_create(
        rows, batch_size=500, update_conflicts=True, unique_fields=["sensor", "hour"],
        update_fields=["readings", *FIELDS],
    )  # fmt: skip
    ReadingHoursDay.objects.bulk_create(
        [ReadingHoursDay(sensor_id=sensor, day=day, readings=count) for (sensor, day), count in stale.items()],
        batch_size=500, update_conflicts=True, unique_fields=["sensor", "day"], update_fields=["readings"],
    )  # fmt: skip


def _spans(days: Iterable[date], zone: ZoneInfo) -> list[tuple[datetime, datetime]]:
    """The days as spans of whole UTC hours; neighbours make one."""
    spans: list[list[date]] = []
    for day in sorted(set(days)):
        if spans and (day - spans[-1][1]).days == 1:
            spans[-1][1] = day
        else:
            spans.append([day, day])
    hour = timedelta(hours=1)
    return [
        (
            utc_seconds(first, zone).replace(minute=0, second=0),
            (utc_seconds(last + timedelta(days=1), zone) + hour - timedelta(microseconds=1)).replace(
                minute=0, second=0, microsecond=0
            ),
        )
        for first, last in spans
    ]


def _hours(sensors: Sequence[int], start: datetime, end: datetime) -> list[dict]:
    """Grouped by the database: the text of a time up to its hour in SQLite, the truncated time in PostgreSQL."""
    columns = ", ".join(f"MIN({name}), MAX({name}), AVG({name})" for name, _, _ in MEASURES)
    hour = "substr(at, 1, 13)" if connection.vendor == "sqlite" else "date_trunc('hour', at AT TIME ZONE 'UTC')"
    marks = ", ".join(["%s"] * len(sensors))
    adapt = connection.ops.adapt_datetimefield_value
    sql = (
        f"SELECT sensor_id, {hour} AS of_hour, COUNT(*), {columns} FROM {Reading._meta.db_table} "
        f"WHERE sensor_id IN ({marks}) AND at >= %s AND at < %s GROUP BY sensor_id, of_hour"
    )
    with connection.cursor() as cursor:
        cursor.execute(sql, [*sensors, adapt(start), adapt(end)])
        found = cursor.fetchall()
    return [
        {"sensor_id": sensor, "hour": _number(of_hour), "readings": count} | dict(zip(FIELDS, values, strict=True))
        for sensor, of_hour, count, *values in found
    ]


def _number(of_hour: str | datetime) -> int:
    if isinstance(of_hour, str):
        of_hour = datetime.strptime(of_hour, "%Y-%m-%d %H")
    return hour_of(of_hour.replace(tzinfo=UTC))


def buckets(*, sensor_ids: Sequence[int], first: int, last: int, hours_each: int) -> list[dict]:
    """The hours of sensors from `first` to `last` in buckets of so many, grouped by the database; one query.

    Returns dicts with `sensor_id`, `bucket` (of the hour, whole buckets from 1970), `count` of readings and CHARTED.
    """
    each = {name: AGGREGATES[name.rsplit("_", 2)[1]](name) for name in CHARTED}
    rows = ReadingHour.objects.filter(sensor__in=sensor_ids, hour__gte=first, hour__lte=last)
    return list(
        rows.annotate(bucket=Cast(F("hour") / hours_each, IntegerField()))
        .values("sensor_id", "bucket")
        .annotate(count=Sum("readings"), **each)
        .order_by("sensor_id", "bucket")
    )

"""Readings by the hour: what charts of a run are drawn from. Only this module writes their tables.

The yard counts the readings of each sensor and day. A day whose count differs from what its hours were made from is
made anew once it is over, when readings come in; a late or repeated reading does no harm, and a chart reads hours, not
minutes. Who looks writes nothing: of days not made yet, such as today, the readings themselves are grouped.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from statistics import fmean
from zoneinfo import ZoneInfo

from django.db import OperationalError, connection, transaction
from django.db.models import Avg, Exists, F, IntegerField, Max, Min, OuterRef, Q, Sum
from django.db.models.functions import Cast
from django.utils import timezone

from kilns.models import Kiln, ReadingHour, ReadingHoursDay, Run
from yard.models import Reading, Sensor, SensorDay
from yard.services.reading_columns import utc_seconds
from yard.services.yard_settings import the_yard

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
    stale = _stale(sensor_ids, first, last)
    try:
        if stale:
            _make_anew(stale, zone)
    except OperationalError:
        return 0  # somebody is writing for long, such as a large file: the next reading tries again
    return len(stale)


def sensor_hours_make(sensor: Sensor) -> int:
    """Make the hours of a sensor's days that are over, from the first run on of which it tells; returns how many."""
    runs = Run.objects.all() if sensor.is_outdoor else Run.objects.filter(_told_by(sensor))
    began = runs.aggregate(first=Min("started_at"))["first"]
    if began is None:
        return 0
    zone = ZoneInfo(the_yard().time_zone)
    yesterday = timezone.localdate(timezone=zone) - timedelta(days=1)
    first = timezone.localdate(began, zone)
    return hours_refresh(sensor_ids=[sensor.pk], first=first, last=yesterday, zone=zone)


def hours_catch_up() -> int:
    """The same for all sensors that tell of kilns, such as one that was put into its kiln after it was read."""
    told = Q(is_outdoor=True) | Q(in_kilns__isnull=False) | Q(pk__in=Kiln.objects.values("bay__sensor"))
    return sum(sensor_hours_make(sensor) for sensor in Sensor.objects.filter(told).distinct().order_by("pk"))


def _told_by(sensor: Sensor) -> Q:
    return Q(kiln__bay__sensor=sensor) | Q(kiln__kiln_sensors__sensor=sensor)


def _stale(sensor_ids: Sequence[int], first: date, last: date) -> dict[tuple[int, date], int]:
    """The days whose hours are not made from all that was read, with how many readings they have."""
    made = ReadingHoursDay.objects.filter(sensor=OuterRef("sensor"), day=OuterRef("day"), readings=OuterRef("readings"))
    days = SensorDay.objects.filter(~Exists(made), sensor__in=sensor_ids, day__range=(first, last))
    return {(sensor, day): count for sensor, day, count in days.values_list("sensor_id", "day", "readings")}


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


Hours = Mapping[int, Sequence[tuple[int, int]]]
"""From which hour to which the readings of a sensor are asked for; of a sensor that is not named, all."""


def buckets(
    *, sensor_ids: Sequence[int], first: int, last: int, hours_each: int, inside: Hours | None = None,
    but: Q | None = None,
) -> list[dict]:  # fmt: skip
    """The hours of sensors from `first` to `last` in buckets of so many, grouped by the database; one query.

    Returns dicts with `sensor_id`, `bucket` (of the hour, whole buckets from 1970), `count` of readings and CHARTED.
    `inside` narrows the hours of some sensors; those that are `but` are left out.
    """
    each = {name: AGGREGATES[name.rsplit("_", 2)[1]](name) for name in CHARTED}
    rows = ReadingHour.objects.filter(sensor__in=sensor_ids, hour__gte=first, hour__lte=last)
    for sensor, spans in (inside or {}).items():
        there = Q(pk__in=[])
        for low, high in spans:
            there |= Q(hour__gte=low, hour__lte=high)
        rows = rows.filter(~Q(sensor=sensor) | there)
    if but is not None:
        rows = rows.exclude(but)
    return list(
        rows.annotate(bucket=Cast(F("hour") / hours_each, IntegerField()))
        .values("sensor_id", "bucket")
        .annotate(count=Sum("readings"), **each)
        .order_by("sensor_id", "bucket")
    )


def buckets_now(
    *, sensor_ids: Sequence[int], first: int, last: int, hours_each: int, zone: ZoneInfo, inside: Hours | None = None
) -> list[dict]:
    """As `buckets`, days that are not made yet grouped from their readings. Two queries, or four; it only reads."""
    days = [datetime.fromtimestamp(hour * HOUR_S, zone).date() for hour in (first, last)]
    asked = {"sensor_ids": sensor_ids, "first": first, "last": last, "hours_each": hours_each, "inside": inside}
    stale = _stale(sensor_ids, *days)
    if not stale:
        return buckets(**asked)
    late = sorted({sensor for sensor, _ in stale})
    ((start, end),) = _spans(_all_between(day for _, day in stale), zone)
    low, high = hour_of(start), hour_of(end)
    wide = {"hour__gte": low // hours_each * hours_each, "hour__lt": -(-high // hours_each) * hours_each}
    beside = ReadingHour.objects.filter(sensor__in=late, **wide).exclude(hour__gte=low, hour__lt=high)
    rows = [*_hours(late, start, end), *beside.values("sensor_id", "hour", "readings", *CHARTED)]
    wanted = [row for row in rows if first <= row["hour"] <= last and _is_inside(row, inside or {})]
    found = _in_buckets(wanted, hours_each) + buckets(**asked, but=Q(sensor__in=late, **wide))
    return sorted(found, key=lambda row: (row["sensor_id"], row["bucket"]))


def _is_inside(row: dict, inside: Hours) -> bool:
    spans = inside.get(row["sensor_id"])
    return spans is None or any(low <= row["hour"] <= high for low, high in spans)


def _all_between(days: Iterable[date]) -> list[date]:
    """All days from the first to the last of them."""
    ordered = sorted(days)
    return [ordered[0] + timedelta(days=n) for n in range((ordered[-1] - ordered[0]).days + 1)]


def _in_buckets(rows: Iterable[dict], hours_each: int) -> list[dict]:
    """What `buckets` has the database do, for few hours."""
    grouped: dict[tuple[int, int], list[dict]] = {}
    for row in rows:
        grouped.setdefault((row["sensor_id"], row["hour"] // hours_each), []).append(row)
    return [
        {"sensor_id": sensor, "bucket": bucket, "count": sum(row["readings"] for row in some)}
        | {name: _grouped(name, some) for name in CHARTED}
        for (sensor, bucket), some in grouped.items()
    ]


def _grouped(name: str, rows: Sequence[dict]) -> float | None:
    values = [row[name] for row in rows if row[name] is not None]
    if not values:
        return None
    return {"low": min, "high": max, "mean": fmean}[name.rsplit("_", 2)[1]](values)

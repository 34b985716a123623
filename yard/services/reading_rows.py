"""Many readings into their table at the pace of the database: COPY on PostgreSQL, prepared rows on SQLite.

Called by the readings service alone.
"""

from collections.abc import Iterator
from datetime import UTC

import numpy as np
from django.db import connection

from yard.models import Reading, Sensor
from yard.services.reading_columns import ReadingColumns

AT_A_TIME = 20_000
WORTH_COPYING = 500  # fewer rows are sent one by one: making a table to copy into costs more (our own choice)
COLUMNS = ("sensor_id", "at", *ReadingColumns.MEASURES)


def rows_keep(sensor: Sensor, columns: ReadingColumns) -> int:
    """Insert all readings, leaving out those whose time is there already; returns how many were new.

    Each time stands once in them, in order, and the sensor's row is locked: nobody else adds readings of it meanwhile.
    """
    if connection.vendor == "postgresql" and len(columns) >= WORTH_COPYING:
        return _copied(sensor, columns)
    quote = connection.ops.quote_name
    marks = ", ".join(["%s"] * len(COLUMNS))
    sql = f"INSERT INTO {quote(Reading._meta.db_table)} ({_listed()}) VALUES ({marks}) ON CONFLICT DO NOTHING"
    new = 0
    with connection.cursor() as cursor:
        for some in _parts(columns):
            times = _sqlite_times(some.at_utc) if connection.vendor == "sqlite" else _moments(some.at_utc)
            cursor.executemany(sql, zip([sensor.pk] * len(some), times, *some.plain(), strict=True))
            new += cursor.rowcount
    return new


def _copied(sensor: Sensor, columns: ReadingColumns) -> int:
    """Copy straight in where the time is still empty, else into a table of this transaction and from there."""
    table = connection.ops.quote_name(Reading._meta.db_table)
    span = _moments(columns.at_utc[[0, -1]])
    with connection.cursor() as cursor:
        if not Reading.objects.filter(sensor=sensor, at__range=span).exists():
            _copy(cursor, table, sensor, columns)
            return len(columns)
        cursor.execute("DROP TABLE IF EXISTS readings_arriving")
        cursor.execute(
            f"CREATE TEMPORARY TABLE readings_arriving ON COMMIT DROP AS SELECT {_listed()} FROM {table} WITH NO DATA"
        )
        _copy(cursor, "readings_arriving", sensor, columns)
        cursor.execute(
            f"INSERT INTO {table} ({_listed()}) SELECT {_listed()} FROM readings_arriving ON CONFLICT DO NOTHING"
        )
        new = cursor.rowcount
        cursor.execute("DROP TABLE readings_arriving")
    return new


def _copy(cursor, table: str, sensor: Sensor, columns: ReadingColumns) -> None:
    with cursor.copy(f"COPY {table} ({_listed()}) FROM STDIN") as copy:
        for some in _parts(columns):
            copy.write(_copy_text(sensor, some))


def _copy_text(sensor: Sensor, columns: ReadingColumns) -> str:
    times = np.datetime_as_string(columns.at_utc, unit="us").tolist()
    measures = [["\\N" if value is None else repr(value) for value in one] for one in columns.plain()]
    stamps = [f"{sensor.pk}\t{time}Z" for time in times]
    return "\n".join(map("\t".join, zip(stamps, *measures, strict=True))) + "\n"


def _sqlite_times(at_utc: np.ndarray) -> list[str]:
    """Times as Django keeps them in SQLite: without a zone, with a fraction only where there is one."""
    whole = at_utc.astype("datetime64[s]")
    if (whole != at_utc).any():
        return [str(when) for when in at_utc.astype("datetime64[us]").tolist()]
    return [text.replace("T", " ") for text in np.datetime_as_string(whole).tolist()]


def _moments(at_utc: np.ndarray) -> list:
    return [when.replace(tzinfo=UTC) for when in at_utc.astype("datetime64[us]").tolist()]


def _parts(columns: ReadingColumns) -> Iterator[ReadingColumns]:
    for start in range(0, len(columns), AT_A_TIME):
        yield columns.some(slice(start, start + AT_A_TIME))


def _listed() -> str:
    return ", ".join(connection.ops.quote_name(name) for name in COLUMNS)

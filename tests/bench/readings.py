"""A million readings, one a minute: the import of a sensor's file against the driver's own insert of the same rows.

Runs on the database of `DATABASE_URL`, in a test database that is thrown away; where that is PostgreSQL, on SQLite too.
`SLABWRIGHT_BENCH_READINGS` takes another number of rows.
"""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import numpy as np

from tests.bench.figures import Figure

COUNT = int(os.environ.get("SLABWRIGHT_BENCH_READINGS", "1000000"))
FIRST = datetime(2023, 11, 1, tzinfo=UTC)
GOAL = 1 / 3
ROUNDS = 3  # in turn; the fastest of each counts, the one least disturbed by other work on the machine


def figures() -> Iterator[Figure]:
    """The database at hand, then SQLite where that is another."""
    os.environ.setdefault("SLABWRIGHT_MODE", "test")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yard.config.settings")
    import django

    django.setup()
    from django.test.utils import setup_databases, setup_test_environment, teardown_databases

    setup_test_environment()
    old = setup_databases(verbosity=0, interactive=False)
    try:
        yield from _figures()
    finally:
        teardown_databases(old, verbosity=0)
    if os.environ.pop("DATABASE_URL", ""):
        subprocess.run([sys.executable, "-m", "tests.bench", "readings"], check=True)


def _figures() -> Iterator[Figure]:
    from django.db import connection

    from tests.make import make_sensor, make_yard

    make_yard()
    rows = list(_rows())
    content = _file(rows)
    has_copy = connection.vendor == "postgresql"
    driver, copied, read, kept = [], [], [], []
    for turn in range(ROUNDS):
        driver.append(_driver_seconds(connection, make_sensor(f"Driver {turn}"), rows))
        if has_copy:
            copied.append(_copy_seconds(connection, make_sensor(f"Copied {turn}"), rows))
        read_s, keep_s, taken = _import_seconds(make_sensor(f"File {turn}"), content)
        assert taken.new == len(rows), taken
        read.append(read_s)
        kept.append(keep_s)
    driver_s, read_s, keep_s = min(driver), min(read), min(kept)
    name = f"{connection.vendor}, {len(rows):,} readings"
    yield Figure(f"{name}, the driver's insert", len(rows) / driver_s, "rows/s", "as measured")
    yield Figure(f"{name}, file read", len(rows) / read_s, "rows/s", "as measured")
    yield Figure(f"{name}, file kept, days averaged", len(rows) / keep_s, "rows/s", "as measured")
    yield Figure(f"{name}, file import", len(rows) / (read_s + keep_s), "rows/s", "as measured")
    yield Figure(f"{name}, import over the driver's insert", driver_s / (read_s + keep_s), "x", f"at least {GOAL:.2f}")
    if has_copy:
        copy_s = min(copied)
        yield Figure(f"{name}, the driver's COPY", len(rows) / copy_s, "rows/s", "as measured")
        yield Figure(f"{name}, import over the driver's COPY", copy_s / (read_s + keep_s), "x", f"at least {GOAL:.2f}")


def _rows() -> Iterator[tuple[datetime, float, float]]:
    """Time, °F and RH, as a sensor in a kiln has them: days of warm air with scatter."""
    random = np.random.default_rng(11)
    minutes = np.arange(COUNT)
    temps = 90 + 15 * np.sin(2 * np.pi * minutes / 1440) + random.normal(0, 0.4, COUNT)
    humidities = 60 - 15 * np.sin(2 * np.pi * minutes / 1440) + random.normal(0, 0.8, COUNT)
    for minute, temp_f, rh_pct in zip(range(COUNT), temps.round(2).tolist(), humidities.round(1).tolist(), strict=True):
        yield FIRST + timedelta(minutes=minute), temp_f, rh_pct


def _file(rows: list[tuple[datetime, float, float]]) -> bytes:
    lines = (f"{at:%Y-%m-%dT%H:%M:%SZ},{temp_f},{rh_pct}\n" for at, temp_f, rh_pct in rows)
    return ("Time,Temp (F),Humidity\n" + "".join(lines)).encode()


def _driver_seconds(connection, sensor, rows) -> float:
    """Insert the rows by the driver alone, as it wants them, in one transaction."""
    from yard.models import Reading

    adapt = connection.ops.adapt_datetimefield_value
    given = [(sensor.pk, adapt(at), temp_f, rh_pct) for at, temp_f, rh_pct in rows]
    mark = "?" if connection.vendor == "sqlite" else "%s"
    sql = f"INSERT INTO {Reading._meta.db_table} (sensor_id, at, temp_f, rh_pct) VALUES ({', '.join([mark] * 4)})"
    connection.ensure_connection()
    driver = connection.connection
    begin = time.perf_counter()
    if connection.vendor == "sqlite":
        driver.execute("BEGIN IMMEDIATE")
        driver.executemany(sql, given)
        driver.execute("COMMIT")
    else:
        with driver.transaction(), driver.cursor() as cursor:
            cursor.executemany(sql, given)
    return time.perf_counter() - begin


def _copy_seconds(connection, sensor, rows) -> float:
    """The same by COPY, the fastest that PostgreSQL has."""
    from yard.models import Reading

    begin = time.perf_counter()
    driver = connection.connection
    sql = f"COPY {Reading._meta.db_table} (sensor_id, at, temp_f, rh_pct) FROM STDIN"
    with driver.transaction(), driver.cursor() as cursor, cursor.copy(sql) as copy:
        for at, temp_f, rh_pct in rows:
            copy.write_row((sensor.pk, at, temp_f, rh_pct))
    return time.perf_counter() - begin


def _import_seconds(sensor, content):
    """Read the file and keep it, as the page does."""
    from yard.models import Yard
    from yard.services.sensor_files import SensorChoices, sensor_file_keep, sensor_file_preview

    choices = SensorChoices(time="Time", temp="Temp (F)", rh="Humidity", temp_unit="F")
    begin = time.perf_counter()
    preview = sensor_file_preview(sensor=sensor, content=content, choices=choices, yard=Yard.objects.get())
    read = time.perf_counter()
    taken = sensor_file_keep(sensor=sensor, preview=preview, choices=choices)
    return read - begin, time.perf_counter() - read, taken

"""The page of a run with a million 1-minute readings against the same page with a thousand, and its chart's size.

The two take turns, and of each the time least disturbed by other work on the machine counts.
Runs on the database of `DATABASE_URL`, in a test database that is thrown away. `SLABWRIGHT_BENCH_READINGS` takes
another number of readings.
"""

import json
import os
import time
from collections.abc import Iterator
from datetime import timedelta

import numpy as np

from tests.bench.figures import Figure

MANY, FEW, TIMES = int(os.environ.get("SLABWRIGHT_BENCH_READINGS", "1000000")), 1000, 15
GOAL, MOST_KB = 1.5, 200


def figures() -> Iterator[Figure]:
    """In a database of its own."""
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


def _figures() -> Iterator[Figure]:
    from django.db import connection
    from django.test import Client

    from tests.make import make_person, make_yard

    make_yard()
    client = Client()
    client.force_login(make_person(), backend="django.contrib.auth.backends.ModelBackend")
    (few, _), (many, import_s) = (_run_with(count) for count in (FEW, MANY))
    _page(client, few)  # a server has seen a page before
    begin = time.perf_counter()
    _page(client, many)
    first_s = time.perf_counter() - begin
    seconds = {few: [], many: []}
    for _ in range(TIMES):
        for run in (few, many):
            begin = time.perf_counter()
            response = _page(client, run)
            seconds[run].append(time.perf_counter() - begin)
    chart = len(json.dumps(response.context["page"].chart))
    count = response.context["page"].readings.count
    assert count >= MANY, count
    name = f"{connection.vendor}, run page"
    yield Figure(f"{name}, {FEW:,} readings", 1000 * min(seconds[few]), "ms", "as measured")
    yield Figure(f"{name}, {MANY:,} readings", 1000 * min(seconds[many]), "ms", "as measured")
    yield Figure(f"{name}, many over few", min(seconds[many]) / min(seconds[few]), "x", f"at most {GOAL}")
    yield Figure(f"{name}, its chart", chart / 1024, "kB", f"at most {MOST_KB}")
    yield Figure(f"{name}, all coming in at once, hours for the chart and alarms with it", import_s, "s", "as measured")
    yield Figure(f"{name}, first look after all came in at once", first_s, "s", "as measured")


def _page(client, run):
    response = client.get(f"/kilns/runs/{run}/")
    assert response.status_code == 200, response.status_code
    return response


def _run_with(count: int) -> tuple[int, float]:
    """A run as long as its readings, one a minute, of its air; returns its id and how long they took to come in."""
    from django.utils import timezone

    from tests.kilns.make import go_on, make_kiln, make_kiln_sensor, make_running
    from tests.make import make_stack
    from yard.services.reading_columns import ReadingColumns
    from yard.services.readings import readings_import

    since = (timezone.now() - timedelta(minutes=count)).replace(second=0, microsecond=0)
    kiln = make_kiln()
    stack = make_stack(at=since - timedelta(days=30), slabs=_old_slabs(since))
    air = make_kiln_sensor(kiln, since=since)
    run = make_running(kiln=kiln, stacks=[stack], at=since)
    go_on(run, "drying", 1, since + timedelta(hours=1))
    minutes = np.arange(count)
    at = np.datetime64(since.replace(tzinfo=None), "us") + minutes.astype("timedelta64[m]")
    random = np.random.default_rng(5)
    none = np.full(count, np.nan)
    temps = np.round(110 + 6 * np.sin(minutes / 230) + random.normal(0, 0.4, count), 1)
    humid = np.round(45 - 8 * np.sin(minutes / 230) + random.normal(0, 0.8, count), 1)
    begin = time.perf_counter()
    readings_import(sensor=air, columns=ReadingColumns(at, temps, humid, none, none))
    return run.pk, time.perf_counter() - begin


def _old_slabs(since):
    from tests.make import make_slab

    return [make_slab(sawn_on=(since - timedelta(days=60)).date()) for _ in range(4)]

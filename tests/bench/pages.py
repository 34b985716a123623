"""Every page of the yard at 500 slabs and at 50,000: the same number of queries, at most half as long again.

Walks all URL patterns that an owner may GET, so a page added later is measured without a line here. Runs on the
database of `DATABASE_URL`, in a test database of its own that is thrown away.
"""

import os
import time
from collections.abc import Iterator
from dataclasses import dataclass

from tests.bench.figures import Figure

SMALL = {"slabs": 500, "stacks": 20, "readings": 20_000}
LARGE = {"slabs": 50_000, "stacks": 2_000, "readings": 2_000_000}
SMALL_ORDERS, LARGE_ORDERS = 300, 1_500  # a first year and five, as many of them open in both
RUNS, WARM_UPS = 15, 2  # the fastest of the runs counts: the one least disturbed by other work on the machine


@dataclass
class Measured:
    queries: int
    seconds: float
    status: int


def figures() -> Iterator[Figure]:
    """Load the small yard, measure; grow it to the large one, measure the same pages again."""
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

    from tests.bench.big_sales import sales_grow
    from tests.bench.big_yard import BigYard

    yard = BigYard()
    yard.grow(**SMALL)
    sales_grow(SMALL_ORDERS)
    _analyze(connection)
    small = _measure_all()
    begin = time.perf_counter()
    yard.grow(**LARGE)
    sales_grow(LARGE_ORDERS)
    _analyze(connection)
    yield Figure("loading the large yard", time.perf_counter() - begin, "s", "as measured")
    large = _measure_all()
    worst, more = 0.0, 0
    for name in sorted(small):
        ratio = large[name].seconds / small[name].seconds
        worst, more = max(worst, ratio), more + (large[name].queries > small[name].queries)
        yield Figure(f"page {name}, time at 50,000 slabs over 500", ratio, "x", "at most 1.5")
        yield Figure(f"page {name}, time at 50,000 slabs", large[name].seconds * 1000, "ms", "as measured")
        yield Figure(f"page {name}, queries at 50,000 slabs", large[name].queries, "", f"{small[name].queries} at 500")
    yield Figure("pages measured", len(small), "", "all that an owner may open")
    yield Figure("pages whose queries grow", more, "", "0")
    yield Figure("slowest growth of a page", worst, "x", "at most 1.5")


def _analyze(connection) -> None:
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def _measure_all() -> dict[str, Measured]:
    from django.test import Client

    from tests.every_page import owner_pages
    from tests.make import make_person

    client = Client()
    client.force_login(make_person("owner"))
    measured = {}
    for name, url in owner_pages():
        found = _measure(client, url)
        if found.status == 200:
            measured[name] = found
    return measured


def _measure(client, url: str) -> Measured:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    for _ in range(WARM_UPS):
        client.get(url)
    with CaptureQueriesContext(connection) as queries:
        response = client.get(url)
    count, seconds = len(queries), []  # counted now: the next request empties the log
    # SQLite works in this process, so its processor time is all there is; PostgreSQL's own is seen only by the clock.
    clock = time.process_time if connection.vendor == "sqlite" else time.perf_counter
    for _ in range(RUNS):
        begin = clock()
        client.get(url)
        seconds.append(clock() - begin)
    return Measured(count, min(seconds), response.status_code)

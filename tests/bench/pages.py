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
RUNS, WARM_UPS = 15, 2  # the fastest of the runs counts: the one least disturbed by other work on the machine

WHOLE_LISTS = ("export", "labels-pdf", "feed")  # what carries every row takes longer with more rows by its nature
NOT_PAGES = ("photo-file", "health", "look", "invite", "password", "logout", "login", "set-up")


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

    from tests.bench.big_yard import BigYard

    yard = BigYard()
    yard.grow(**SMALL)
    _analyze(connection)
    small = _measure_all()
    begin = time.perf_counter()
    yard.grow(**LARGE)
    _analyze(connection)
    yield Figure("loading the large yard", time.perf_counter() - begin, "s", "as measured")
    large = _measure_all()
    worst, more = 0.0, 0
    for name in sorted(small):
        ratio = large[name].seconds / small[name].seconds
        worst, more = max(worst, ratio), more + (large[name].queries != small[name].queries)
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

    from tests.make import make_person

    client = Client()
    client.force_login(make_person("owner"))
    measured = {}
    for name, url in _urls():
        found = _measure(client, url)
        if found.status == 200:
            measured[name] = found
    return measured


def _urls() -> Iterator[tuple[str, str]]:
    """Each URL name that an owner may GET, with the keys of rows that stand in both yards."""
    from django.urls import NoReverseMatch, get_resolver, reverse

    from yard import access

    keys = _keys()
    for namespace in sorted({name.split(":")[0] for name in access.TABLE}):
        for pattern in _patterns(get_resolver(), namespace):
            name = f"{namespace}:{pattern.name}"
            if "owner" not in access.methods(name).get("GET", ()) or pattern.name.startswith(NOT_PAGES):
                continue
            if any(word in pattern.name for word in WHOLE_LISTS):
                continue
            wanted = pattern.pattern.converters
            noun = pattern.name.split("-")[0]
            arguments = {key: keys.get(key if key != "pk" else noun) for key in wanted}
            try:
                yield pattern.name, reverse(name, kwargs=arguments)
            except NoReverseMatch:
                continue


def _patterns(resolver, namespace: str):
    for entry in resolver.url_patterns:
        if getattr(entry, "namespace", None) == namespace:
            yield from entry.url_patterns
        elif getattr(entry, "namespace", None) is None and hasattr(entry, "url_patterns"):
            yield from _patterns(entry, namespace)


def _keys() -> dict[str, object]:
    """Rows of the small yard that are there in the large one too; `noun` of the URL name to primary key."""
    from yard.models import Bay, Cohort, Contact, Log, Person, Sample, Sensor, Slab, Stack

    standing = Stack.objects.filter(taken_down_at__isnull=True).order_by("pk").first()
    first = {
        "log": Log.objects.filter(state="sawn").order_by("pk").first(),
        "saw": Log.objects.filter(state="in_yard").order_by("pk").first(),
        "slab": Slab.objects.filter(stack=standing).order_by("pk").first(),
        "stack": standing,
        "bay": standing.bay if standing else Bay.objects.order_by("pk").first(),
        "contact": Contact.objects.order_by("pk").first(),
        "sensor": Sensor.objects.order_by("pk").first(),
        "cohort": Cohort.objects.filter(stack=standing).first(),
        "person": Person.objects.order_by("pk").first(),
        "sample": Sample.objects.filter(cohort__stack=standing).first(),
    }
    keys = {noun: row.pk for noun, row in first.items() if row is not None}
    code = standing.code if standing else ""
    return keys | {"code": code, "text": code, "slab_pk": keys.get("slab"), "cohort_pk": keys.get("cohort")}


def _measure(client, url: str) -> Measured:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    for _ in range(WARM_UPS):
        client.get(url)
    with CaptureQueriesContext(connection) as queries:
        response = client.get(url)
    count, seconds = len(queries), []  # counted now: the next request empties the log
    for _ in range(RUNS):
        begin = time.perf_counter()
        client.get(url)
        seconds.append(time.perf_counter() - begin)
    return Measured(count, min(seconds), response.status_code)

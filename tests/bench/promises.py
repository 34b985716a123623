"""Promises that hold: dates, a slab promised once, a list quoted at once. `DATABASE_URL` for PostgreSQL, too."""

from collections.abc import Iterator

from tests.bench import promise_dates, quoting, races
from tests.bench.bench_database import bench_database
from tests.bench.figures import Figure


def figures() -> Iterator[Figure]:
    """Dates without a database; the others each in a test database of its own."""
    yield from promise_dates.figures()
    for part in (races, quoting):
        with bench_database() as kind:
            yield from part.figures(kind)

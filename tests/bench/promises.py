"""Promises that hold: a slab promised once, a list quoted at once. Run it with `DATABASE_URL` for PostgreSQL, too."""

from collections.abc import Iterator

from tests.bench import quoting, races
from tests.bench.bench_database import bench_database
from tests.bench.figures import Figure


def figures() -> Iterator[Figure]:
    """Each in a test database of its own."""
    for part in (races, quoting):
        with bench_database() as kind:
            yield from part.figures(kind)

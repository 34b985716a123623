"""A test database for a part of the benchmark, thrown away afterwards; on the database of `DATABASE_URL`."""

import os
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def bench_database() -> Iterator[str]:
    """Set Django up in test mode with an empty database; gives the database's kind in a word."""
    os.environ.setdefault("SLABWRIGHT_MODE", "test")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yard.config.settings")
    import django

    django.setup()
    from django.db import connection
    from django.test.utils import setup_databases, setup_test_environment, teardown_databases, teardown_test_environment

    setup_test_environment()
    old = setup_databases(verbosity=0, interactive=False)
    try:
        yield "PostgreSQL" if connection.vendor == "postgresql" else "SQLite"
    finally:
        teardown_databases(old, verbosity=0)
        teardown_test_environment()

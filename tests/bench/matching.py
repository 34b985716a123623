"""Answering a buyer's request in a yard of any size: server time and queries of the page."""

import time
from dataclasses import dataclass

RUNS = 5
REQUESTS = (
    {"words": "two 8/4 walnut slabs over 16 in wide, 6 ft, at 10%"},
    {"words": "150 bf of 5/4 sugar maple, 6 in and wider"},
    {"words": "a matched pair"},
)


@dataclass(frozen=True)
class Answered:
    """The slowest of the requests, each at its quickest [s], and the most queries."""

    seconds: float
    queries: int


def answered() -> Answered:
    """Ask through the page, as an owner does."""
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    from tests.make import make_person

    client = Client()
    client.force_login(make_person("owner"), backend="django.contrib.auth.backends.ModelBackend")
    slowest, most = 0.0, 0
    for asked in REQUESTS:
        found = []
        for _ in range(RUNS):
            with CaptureQueriesContext(connection) as queries:
                begin = time.perf_counter()
                answer = client.get("/sales/match/", asked)
                found.append(time.perf_counter() - begin)
            if answer.status_code != 200 or answer.context["answer"] is None:
                raise RuntimeError(f"not answered: {asked}")
            most = max(most, len(queries))
        slowest = max(slowest, min(found))
    return Answered(slowest, most)

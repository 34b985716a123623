"""Quoting a list of twenty lines in a yard of 500 and of 50,000 slabs: server time and queries."""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from tests.bench.figures import Figure
from tests.bench.matching import answered

LINES, RULES = 20, 200
SMALL, LARGE = 500, 50_000
RUNS = 5  # the fastest counts: the one least disturbed by other work on the machine


@dataclass
class Measured:
    seconds: float
    processor_seconds: float
    queries: int


def figures(kind: str) -> Iterator[Figure]:
    """Quote through the pages, as an owner does: add twenty slabs, look, issue the quote, look again."""
    from tests.bench.big_yard import BigYard

    yard = BigYard()
    yard.grow(slabs=SMALL, stacks=20, readings=0)
    _rules()
    small, asked_small = _measured(0), answered()
    yard.grow(slabs=LARGE, stacks=2_000, readings=0)
    _analyze()
    large, asked_large = _measured(1), answered()
    yield Figure(f"{kind}, quoting {LINES} lines against {LARGE:,} slabs", large.seconds * 1000, "ms", "under 1,000")
    busy = large.processor_seconds / small.processor_seconds
    yield Figure(f"{kind}, processor time of it over that at {SMALL} slabs", busy, "x", "at most 1.5")
    yield Figure(f"{kind}, the same against {SMALL} slabs", small.seconds * 1000, "ms", "as measured")
    yield Figure(f"{kind}, queries of quoting at {LARGE:,} slabs", large.queries, "", f"{small.queries} at {SMALL}")
    what = f"{kind}, answering a buyer's request"
    yield Figure(f"{what} against {LARGE:,} slabs", asked_large.seconds * 1000, "ms", "under 1,000")
    yield Figure(f"{what}, the same against {SMALL} slabs", asked_small.seconds * 1000, "ms", "as measured")
    yield Figure(f"{what}, queries at {LARGE:,} slabs", asked_large.queries, "", f"{asked_small.queries} at {SMALL}")


def _rules() -> None:
    """Many rules, as a yard has that prices by species, thickness and width."""
    from sales.models import PriceRule
    from tests.bench.big_yard import QUARTERS, SPECIES

    since = date(2024, 1, 1)
    rules = [PriceRule(price=Decimal("4.50"), valid_from=since)]
    for number in range(RULES - 1):
        species, quarters = SPECIES[number % len(SPECIES)], QUARTERS[number // len(SPECIES) % len(QUARTERS)]
        width_in = 4.0 + number // (len(SPECIES) * len(QUARTERS)) * 3
        rules.append(
            PriceRule(
                species_key=species, quarters=quarters, width_from_in=width_in, price=Decimal(5) + number,
                valid_from=since,
            )
        )  # fmt: skip
    PriceRule.objects.bulk_create(rules)


def _measured(turn: int) -> Measured:
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    from tests.make import make_person
    from tests.sales.make import make_buyer
    from yard.models import Slab

    client = Client()
    client.force_login(make_person("owner"), backend="django.contrib.auth.backends.ModelBackend")
    free = Slab.objects.standing().ours().filter(order_lines__isnull=True, hold_back=False)
    tags = list(free.order_by("-pk").values_list("tag", flat=True)[: LINES * (RUNS + 1)])
    found = []
    for run in range(RUNS + 1):
        buyer = make_buyer(f"Buyer {turn}-{run}")
        with CaptureQueriesContext(connection) as queries:
            begin, worked = time.perf_counter(), time.process_time()
            _quote(client, buyer, tags[run * LINES : (run + 1) * LINES])
            seconds, worked = time.perf_counter() - begin, time.process_time() - worked
        found.append(Measured(seconds, worked, len(queries)))
    warm = found[1:]  # the first builds templates and plans
    return Measured(
        min(one.seconds for one in warm),
        min(one.processor_seconds for one in warm),
        max(one.queries for one in warm),
    )


def _quote(client, buyer, tags: list[str]) -> None:
    from sales.models import Order

    sent = client.post("/sales/orders/new/", {"buyer": buyer.pk})
    page = sent.url
    answers = [client.post(f"{page}slabs/", {"slabs": "\n".join(tags)}), client.get(page)]
    version = Order.objects.values_list("version", flat=True).get(buyer=buyer)
    answers.append(client.post(f"{page}quote/", {"version": version, "valid_until": "2099-01-01"}))
    answers.append(client.get(page))
    codes = [answer.status_code for answer in answers]
    if codes != [302, 200, 302, 200] or Order.objects.get(buyer=buyer).lines.count() != LINES:
        raise RuntimeError(f"the list was not quoted: {codes}")


def _analyze() -> None:
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")

"""Faults between a phone and the yard: however they happen, each record arrives, once.

Every fault runs against the yard's own server in processes of its own, on SQLite and, where `DATABASE_URL` names
one, on PostgreSQL. Counted at the end: records written down, those that are nowhere, those that are there twice.
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator

from tests.bench.figures import Figure
from tests.bench.phone_client import Phone
from tests.bench.phone_faults import FAULTS
from tests.bench.phone_yard import HALF_STEP, ROOT, Yard


def figures() -> Iterator[Figure]:
    """Run the faults in a process for each database, so that each has settings of its own."""
    wanted = [("SQLite", "")]
    if os.environ.get("DATABASE_URL", "").startswith("postgres"):
        wanted.append(("PostgreSQL", os.environ["DATABASE_URL"]))
    sums = {"tried": 0.0, "lost": 0.0, "doubled": 0.0}
    for name, url in wanted:
        for figure in _on(name, url):
            what = figure.name.rpartition(", ")[2]
            if what in sums:
                sums[what] += figure.value
            yield figure
    yield Figure("tried", sums["tried"], "records", ", ".join(name for name, _ in wanted))
    yield Figure("lost", sums["lost"], "", "0")
    yield Figure("doubled", sums["doubled"], "", "0")


def _on(name: str, url: str) -> Iterator[Figure]:
    environment = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    environment |= {"SLABWRIGHT_MODE": "test", "DJANGO_SETTINGS_MODULE": "yard.config.settings"}
    with tempfile.TemporaryDirectory(prefix="slabwright-phone-") as folder:
        environment["SLABWRIGHT_DATA_DIR"] = folder
        if url:
            environment["DATABASE_URL"] = url
        run = subprocess.Popen(
            [sys.executable, "-m", "tests.bench.phone", name],
            cwd=ROOT,
            env=environment,
            stdout=subprocess.PIPE,
            text=True,
        )
        for line in run.stdout or ():
            what, value, unit, goal = line.rstrip("\n").split("\t")
            yield Figure(what, float(value), unit, goal)
        if run.wait():
            raise RuntimeError(f"the faults on {name} ended with code {run.returncode}")


def _count(phones: list[Phone]) -> tuple[int, int, int]:
    """How many records were written down, are nowhere in the yard, and are there more than once."""
    from yard.models import PhoneRecord, Slab, Weighing

    lost = doubled = tried = 0
    for phone in phones:
        for record in phone.written:
            tried += 1
            typed = record["typed"]
            model, column, text = (
                (Weighing, "weight_lb", typed["weight"])
                if record["kind"] == "weighing"
                else (Slab, "mean_width_in", typed["widths_in"])
            )
            near = (float(text) - HALF_STEP, float(text) + HALF_STEP)
            there = model.objects.filter(**{f"{column}__range": near}).count()
            by_key = model.objects.filter(client_key=record["key"]).count()
            receipts = PhoneRecord.objects.filter(client_key=record["key"]).count()
            lost += min(there, by_key, receipts) == 0
            doubled += max(there, by_key, receipts) > 1
        lost += len(phone.queue)  # still waiting after all tries: it never arrived
    return tried, lost, doubled


def run(database: str) -> Iterator[Figure]:
    """All faults on the database of the settings, in a test database that is thrown away."""
    import django

    django.setup()
    from django.db import connection
    from django.test.utils import setup_databases, setup_test_environment, teardown_databases

    setup_test_environment()
    old = setup_databases(verbosity=0, interactive=False)
    _servers_use(connection)
    yard = Yard()
    yard.start()
    sums = [0, 0, 0]
    try:
        for name, fault in FAULTS.items():
            tried, lost, doubled = _count(fault(yard))
            sums = [sums[0] + tried, sums[1] + lost, sums[2] + doubled]
            yield Figure(f"{database}: {name}, lost or doubled of {tried}", lost + doubled, "", "0")
        yield Figure(f"{database}, tried", sums[0], "records", f"{len(FAULTS)} kinds of fault")
        yield Figure(f"{database}, lost", sums[1], "", "0")
        yield Figure(f"{database}, doubled", sums[2], "", "0")
    finally:
        yard.stop()
        teardown_databases(old, verbosity=0)


def _servers_use(connection) -> None:
    """Let the servers that are started from here use the test database too."""
    settings = connection.settings_dict
    if connection.vendor == "sqlite":
        os.environ["DATABASE_URL"] = f"sqlite:///{settings['NAME']}"
        return
    base = os.environ["DATABASE_URL"].partition("?")
    os.environ["DATABASE_URL"] = f"{base[0].rpartition('/')[0]}/{settings['NAME']}{base[1]}{base[2]}"


if __name__ == "__main__":
    for one in run(sys.argv[1]):
        print(one.name, one.value, one.unit, one.goal, sep="\t", flush=True)

"""Faults between a phone and the yard: however they happen, each record arrives, once.

Every fault runs against the yard's own server in processes of its own, on SQLite and, where `DATABASE_URL` names
one, on PostgreSQL. Counted at the end: records written down, those that are nowhere, those that are there twice.
"""

import os
import resource
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta
from pathlib import Path

from tests.bench.figures import Figure
from tests.bench.phone_client import NoSignal, Phone

ROOT = Path(__file__).resolve().parents[2]
SMALL = bool(os.environ.get("SLABWRIGHT_BENCH_SMALL"))  # as the test suite runs it
REPLAYS, KILLS, CUTS = (20, 1, 2) if SMALL else (1000, 5, 8)
LOCKED_S = 3 if SMALL else 30  # the server waits for twenty seconds
BATCH = 6
TRIES = 60
STEP = 0.001  # by which every record differs from every other, so that a second row of it is seen without its key
HALF_STEP = STEP / 2


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


class Yard:
    """A yard of its own with a log and samples, and the server that serves it."""

    def __init__(self) -> None:
        from django.test import Client

        from tests.make import make_log, make_person, make_stack, make_yard
        from yard.services.samples import sample_add

        make_yard()
        self.person = make_person("owner")
        cohort = make_stack("ST-1", slabs=2).cohorts.get()
        self.samples = [sample_add(cohort=cohort, name=f"S{n}").code for n in range(10)]
        self.log = make_log("L-1", small_end_in=40.0, large_end_in=44.0).code
        client = Client()
        client.force_login(self.person, backend="django.contrib.auth.backends.ModelBackend")
        self.cookies = {name: morsel.value for name, morsel in client.cookies.items()}
        self.weight = 40.0
        self.width = 10.0
        self.server: subprocess.Popen | None = None
        self.port = 0

    def start(self) -> None:
        self.port = self.port or _free_port()
        self.server = subprocess.Popen(
            [sys.executable, "-m", "tests.bench.phone_server", str(self.port)], cwd=ROOT, start_new_session=True,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        until = time.monotonic() + 120
        while True:
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            if time.monotonic() > until:
                raise RuntimeError("the server does not start")
            time.sleep(0.05)

    def stop(self) -> None:
        if self.server is not None:
            with suppress(ProcessLookupError):
                os.killpg(self.server.pid, signal.SIGKILL)
            self.server.wait()

    def start_again_if_killed(self) -> None:
        time.sleep(0.2)
        if self.server is None or self.server.poll() is not None:
            self.stop()
            self.start()

    def workers(self) -> list[int]:
        """The processes that write: the children of the server."""
        assert self.server is not None
        return [
            int(pid) for pid in Path(f"/proc/{self.server.pid}/task/{self.server.pid}/children").read_text().split()
        ]

    def phone(self, clock_off: timedelta = timedelta()) -> Phone:
        return Phone(self.port, self.cookies, clock_off)

    def write_down(self, phone: Phone, count: int = BATCH) -> None:
        """Weights that differ from each other by what a scale shows, and every third a slab."""
        for n in range(count):
            if n % 3 == 2:
                self.width += STEP
                phone.write_down(
                    "slab",
                    code=self.log,
                    kind="board",
                    thickness_in="4/4",
                    length_in="1 ft",
                    widths_in=f"{self.width:.3f}",
                )
            else:
                self.weight -= STEP
                phone.write_down(
                    "weighing", code=self.samples[n % 10], weight=f"{self.weight:.3f}", unit="lb", confirmed=True
                )


def send_until_empty(yard: Yard, phone: Phone, **options) -> None:
    """Try as a phone does, over and over, until nothing waits."""
    for _ in range(TRIES):
        try:
            phone.send(**options)
        except NoSignal:
            yard.start_again_if_killed()
        if not phone.queue:
            return
        time.sleep(0.05)


# ---- The faults. Each takes a yard, and gives back the phones that wrote things down.


def cut(when: str) -> Callable[[Yard], list[Phone]]:
    def fault(yard: Yard) -> list[Phone]:
        phones = []
        for _ in range(CUTS):
            phone = yard.phone()
            yard.write_down(phone)
            phone.cut(when)
            phones.append(phone)
        for phone in phones:
            send_until_empty(yard, phone)
        return phones

    return fault


def killed(when: str) -> Callable[[Yard], list[Phone]]:
    def fault(yard: Yard) -> list[Phone]:
        phones = []
        for _ in range(KILLS):
            phone = yard.phone()
            yard.write_down(phone)
            with suppress(NoSignal):
                phone.send(fault=when)
            yard.start_again_if_killed()
            send_until_empty(yard, phone)
            phones.append(phone)
        return phones

    return fault


def replayed(yard: Yard) -> list[Phone]:
    """All of it sent again, a thousand times, by four senders at once."""
    phone = yard.phone()
    yard.write_down(phone)
    phone.session()
    body, left, errors = phone.message(), iter(range(REPLAYS)), []
    lock = threading.Lock()

    def replay() -> None:
        while True:
            with lock:
                if next(left, None) is None:
                    return
            try:
                status, _ = phone._post(body, "")
                if status != 200:
                    errors.append(status)
            except NoSignal as error:
                errors.append(error)

    threads = [threading.Thread(target=replay) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if errors:
        raise RuntimeError(f"{len(errors)} replays were not answered: {errors[0]}")
    send_until_empty(yard, phone)
    return [phone]


def two_tabs(yard: Yard) -> list[Phone]:
    """Two tabs with the same queue send at the same moment."""
    phones = []
    for _ in range(CUTS):
        phone = yard.phone()
        yard.write_down(phone)
        phone.session()
        body, gate = phone.message(), threading.Barrier(2)

        def tab(phone=phone, body=body, gate=gate) -> None:
            gate.wait()
            with suppress(NoSignal):
                phone._post(body, "")

        threads = [threading.Thread(target=tab) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        send_until_empty(yard, phone)
        phones.append(phone)
    return phones


def logged_out(yard: Yard) -> list[Phone]:
    """The session ends while records wait; the person logs in again, and the queue goes on."""
    from django.contrib.sessions.models import Session
    from django.test import Client

    phone = yard.phone()
    yard.write_down(phone)
    phone.session()
    Session.objects.all().delete()
    for _ in range(3):
        if phone.send():
            raise RuntimeError("a stranger's records were taken")
    client = Client()
    client.force_login(yard.person, backend="django.contrib.auth.backends.ModelBackend")
    yard.cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    phone.cookies = dict(yard.cookies)
    send_until_empty(yard, phone)
    return [phone]


def token_rotated(yard: Yard) -> list[Phone]:
    """The token that the page holds is no longer the cookie's."""
    phones = []
    for broken in ("x" * 64, ""):
        phone = yard.phone()
        yard.write_down(phone)
        phone.session()
        if broken:
            phone.token = broken
        phone.cookies.pop("slabwright_csrf", None)
        if phone.send():
            raise RuntimeError("records with a wrong token were taken")
        send_until_empty(yard, phone)
        phones.append(phone)
    return phones


def clock_wrong(yard: Yard) -> list[Phone]:
    """A phone whose clock is a day ahead, and one a day behind."""
    phones = [yard.phone(timedelta(days=1)), yard.phone(timedelta(days=-1))]
    for phone in phones:
        yard.write_down(phone)
        send_until_empty(yard, phone)
        _both_times_are_kept(phone)
    return phones


def _both_times_are_kept(phone: Phone) -> None:
    from yard.models import PhoneRecord, Weighing

    for record in phone.written:
        receipt = PhoneRecord.objects.get(client_key=record["key"])
        if receipt.made_at.isoformat() != record["made_at"]:
            raise RuntimeError("the phone's time was not kept")
        kept = Weighing.objects.filter(client_key=record["key"]).first()
        if kept is not None and abs(kept.made_at - receipt.received_at) > timedelta(minutes=2):
            raise RuntimeError("the wrong clock was believed")


def database_locked(yard: Yard) -> list[Phone]:
    """Something else holds the database, for longer than the server waits, then lets go."""
    from django.db import connection

    phone = yard.phone()
    yard.write_down(phone)
    phone.session()
    with _locked(connection):
        tries = threading.Thread(target=_try_once, args=(phone,))
        tries.start()
        tries.join(LOCKED_S)
    tries.join()
    send_until_empty(yard, phone)
    return [phone]


def _try_once(phone: Phone) -> None:
    with suppress(NoSignal):
        phone.send()


@contextmanager
def _locked(connection) -> Iterator[None]:
    from django.db import transaction

    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("LOCK TABLE yard_phonerecord, yard_weighing IN ACCESS EXCLUSIVE MODE")
        yield  # on SQLite the transaction holds the one lock of writers by itself


def disk_full(yard: Yard) -> list[Phone]:
    """The server may write no more; then there is room again."""
    from django.db import connection

    phone = yard.phone()
    yard.write_down(phone)
    phone.session()
    with _no_room(yard, connection):
        for _ in range(3):
            with suppress(NoSignal):
                if phone.send():
                    raise RuntimeError("a server without room said that it had kept something")
    yard.start_again_if_killed()
    send_until_empty(yard, phone)
    return [phone]


@contextmanager
def _no_room(yard: Yard, connection) -> Iterator[None]:
    """SQLite's own files may not grow; PostgreSQL answers as it does when its disk is full (SQLSTATE 53100)."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "CREATE FUNCTION no_room() RETURNS trigger AS $$ BEGIN RAISE EXCEPTION 'could not extend file: "
                "No space left on device' USING ERRCODE = '53100'; END $$ LANGUAGE plpgsql;"
                "CREATE TRIGGER no_room BEFORE INSERT ON yard_phonerecord FOR EACH ROW EXECUTE FUNCTION no_room();"
            )
        try:
            yield
        finally:
            with connection.cursor() as cursor:
                cursor.execute("DROP TRIGGER no_room ON yard_phonerecord; DROP FUNCTION no_room();")
        return
    soft, hard = resource.RLIM_INFINITY, resource.RLIM_INFINITY
    for pid in yard.workers():
        resource.prlimit(pid, resource.RLIMIT_FSIZE, (1, hard))
    try:
        yield
    finally:
        for pid in yard.workers():
            resource.prlimit(pid, resource.RLIMIT_FSIZE, (soft, hard))


FAULTS: dict[str, Callable[[Yard], list[Phone]]] = {
    "request cut before all of it was sent": cut("before"),
    "request cut while the server works": cut("during"),
    "answer cut after the commit": cut("after"),
    "server killed within the transaction": killed("kill before commit"),
    "server killed between commit and answer": killed("kill after commit"),
    f"queue replayed {REPLAYS:,} times by four at once": replayed,
    "two tabs sending at once": two_tabs,
    "session expired": logged_out,
    "token rotated": token_rotated,
    "clock wrong by a day": clock_wrong,
    "database locked": database_locked,
    "disk full on the server": disk_full,
}


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


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


if __name__ == "__main__":
    for one in run(sys.argv[1]):
        print(one.name, one.value, one.unit, one.goal, sep="\t", flush=True)

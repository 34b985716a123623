"""A yard of its own for the faults, the server that serves it, and phones that write things down for it."""

import os
import signal
import socket
import subprocess
import sys
import time
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

from tests.bench.phone_client import NoSignal, Phone

ROOT = Path(__file__).resolve().parents[2]
SMALL = bool(os.environ.get("SLABWRIGHT_BENCH_SMALL"))  # as the test suite runs it
REPLAYS, KILLS, CUTS = (20, 1, 2) if SMALL else (1000, 5, 8)
LOCKED_S = 3 if SMALL else 30  # the server waits for twenty seconds
BATCH = 6
TRIES = 60
STEP = 0.001  # by which every record differs from every other, so that a second row of it is seen without its key
HALF_STEP = STEP / 2


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
        self.port = self.port or free_port()
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


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]

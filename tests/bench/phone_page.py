"""The weigh screen over a slow line: what its first visit carries, and how soon it can be used on later ones.

A real Chromium at phone size against `manage.py serve` with collected, compressed files. The slow line is the
browser's own emulation: 400 kbit/s each way and 2 s to an answer, what browsers call slow 3G (from memory).
"""

import os
import secrets
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator

from tests.bench.figures import Figure
from tests.bench.phone_yard import ROOT, free_port

SLOW = {"offline": False, "latency": 2000, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
MOST_KB, MOST_S = 60, 1.0
TIMES = 5


def figures() -> Iterator[Figure]:
    """Serve a small yard and open its weigh screen."""
    with tempfile.TemporaryDirectory(prefix="slabwright-page-") as folder:
        os.environ |= {
            "SLABWRIGHT_MODE": "production", "SLABWRIGHT_SECRET_KEY": secrets.token_urlsafe(48),
            "SLABWRIGHT_DATA_DIR": folder, "SLABWRIGHT_HTTPS": "no", "DJANGO_SETTINGS_MODULE": "yard.config.settings",
        }  # fmt: skip
        os.environ.pop("DATABASE_URL", None)
        code, cookies = _make_yard()
        port = free_port()
        server = subprocess.Popen(
            [sys.executable, "manage.py", "serve", "--address", "127.0.0.1", "--port", str(port), "--workers", "1"],
            cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            _wait_for(port)
            yield from _measured(f"http://localhost:{port}", code, cookies)
        finally:
            server.terminate()
            server.wait(30)


def _make_yard() -> tuple[str, dict[str, str]]:
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connections
    from django.test import Client

    call_command("migrate", verbosity=0)
    from tests.make import make_person, make_stack, make_yard
    from yard.services.samples import sample_add

    make_yard()
    stack = make_stack("ST-1", slabs=20)
    sample = sample_add(cohort=stack.cohorts.get(), name="A-1", slab=stack.slabs_now.first())
    client = Client()
    client.force_login(make_person("owner"), backend="django.contrib.auth.backends.ModelBackend")
    connections.close_all()
    return sample.code, {name: morsel.value for name, morsel in client.cookies.items()}


def _wait_for(port: int) -> None:
    import urllib.request

    until = time.monotonic() + 120
    while True:
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/health/", timeout=5).close()
            return
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.2)


def _measured(url: str, code: str, cookies: dict[str, str]) -> Iterator[Figure]:
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import ARGUMENTS, CHROMIUM

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM or None, args=ARGUMENTS)
        for name, path in (("the label's address", f"/C/{code}"), ("the phone's own page", f"/phone/#/weigh/{code}")):
            context = _phone(browser, url, cookies)
            carried = _carried(context.new_page(), url + path)
            total_kb = sum(size for _, size in carried) / 1024
            charts = sum("plotly" in one for one, _ in carried)
            yield Figure(f"first visit by {name}, over the wire", total_kb, "kB", f"at most {MOST_KB}")
            yield Figure(f"first visit by {name}, files with chart code", charts, "", "0")
            context.close()
        context = _phone(browser, url, cookies)
        page = context.new_page()
        page.goto(f"{url}/phone/")
        _kept(page)
        found = [_usable_s(context, url, code) for _ in range(TIMES)]
        yield Figure(
            "after the first visit on a slow line, usable after", sorted(found)[TIMES // 2], "s", f"at most {MOST_S}"
        )
        yield Figure("after the first visit on a slow line, slowest of 5", max(found), "s", f"at most {MOST_S}")
        browser.close()


def _phone(browser, url: str, cookies: dict[str, str]):
    context = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
    context.add_cookies([{"name": name, "value": value, "url": url} for name, value in cookies.items()])
    return context


def _carried(page, url: str) -> list[tuple[str, float]]:
    """What came over the wire until the weight could be typed, with headers; not what the worker fetches ahead."""
    line = page.context.new_cdp_session(page)
    line.send("Network.enable")
    names, sizes = {}, {}
    line.on("Network.responseReceived", lambda event: names.update({event["requestId"]: event["response"]["url"]}))
    line.on("Network.loadingFinished", lambda event: sizes.update({event["requestId"]: event["encodedDataLength"]}))
    page.goto(url)
    page.locator("#id_weight").wait_for()
    page.wait_for_timeout(1000)
    return [(name, sizes[one]) for one, name in names.items() if one in sizes]


def _kept(page) -> None:
    """Wait until the phone has taken all along."""
    until = time.monotonic() + 60
    while not page.evaluate(
        "navigator.serviceWorker.controller !== null && YardStore.get('pack').then((pack) => pack !== undefined)"
    ):
        if time.monotonic() > until:
            raise RuntimeError("the phone does not take anything along")
        page.wait_for_timeout(100)


def _usable_s(context, url: str, code: str) -> float:
    """From opening the label's address until the weight can be typed [s]."""
    page = context.new_page()
    line = context.new_cdp_session(page)
    line.send("Network.enable")
    line.send("Network.emulateNetworkConditions", SLOW)
    begin = time.perf_counter()
    page.goto(f"{url}/C/{code}", wait_until="commit")
    page.locator("#id_weight").wait_for()
    taken = time.perf_counter() - begin
    page.close()
    return taken

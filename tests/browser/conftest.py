"""A real Chromium: pages at phone and desk size, with and without scripts, logged in as whoever a test needs.

Every page collects what its console complains about (a breach of the Content-Security-Policy, an error of a
script, a file that is missing); the test fails at its end if there was anything. A test that provokes a fault
empties `page.problems` afterwards.
"""

import os
import re
import shutil
import threading
import time

import pytest
from django.db import connection
from django.test import Client
from playwright.sync_api import Error, sync_playwright

from tests.make import make_person, make_yard

# Chromium built without a window of its own opens a page in a third of the time; where there is none, the usual one.
NAMES = ("chromium-headless-shell", "chromium", "chromium-browser")
CHROMIUM = os.environ.get("SLABWRIGHT_CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), "")
REQUIRED = os.environ.get("SLABWRIGHT_BROWSER") == "required"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
# A form that comes back with its errors, or a row changed meanwhile, is an answer, not a fault; so is a search that
# the next letter typed has overtaken.
ANSWERS = re.compile(r"status of (409|410|422|429)|htmx:(sendAbort|afterRequest)")


def pytest_collection_modifyitems(items):
    for item in items:
        if "tests/browser" in str(item.path).replace(os.sep, "/"):
            item.add_marker(pytest.mark.browser)
            if item.get_closest_marker("looks") and connection.vendor != "sqlite":
                item.add_marker(pytest.mark.skip("a page looks the same on either database: looked at on SQLite"))


@pytest.fixture(scope="session")
def chromium():
    """The browser, started once. Missing, its tests are skipped, unless SLABWRIGHT_BROWSER=required."""
    if not CHROMIUM and not REQUIRED:
        pytest.skip("no Chromium found: install it, or name it in SLABWRIGHT_CHROMIUM")
    with sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(executable_path=CHROMIUM or None, args=ARGUMENTS)
        except Error as error:
            if REQUIRED:
                raise
            pytest.skip(f"Chromium does not start: {error}")
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium, live_server):
    """Open a page of a window: `open_page(PHONE, person=hand, scheme="dark", scripts=False)`."""
    contexts, pages = [], []

    def open_one(size=DESK, *, person=None, scheme="light", scripts=True, **options):
        context = chromium.new_context(
            viewport=size, color_scheme=scheme, java_script_enabled=scripts, base_url=live_server.url, **options
        )
        context.set_default_timeout(10_000)
        contexts.append(context)
        if person:
            log_in(context, live_server.url, person)
        page = context.new_page()
        page.problems = []
        page.on("console", lambda message: _note_console(page, message))
        page.on("pageerror", lambda error: page.problems.append(f"script: {error}"))
        pages.append(page)
        return page

    open_one.pages = pages
    yield open_one
    problems = [problem for page in pages for problem in page.problems]
    for context in contexts:
        context.close()
    wait_for_server()
    assert not problems, "\n".join(problems)


def wait_for_server(seconds: float = 20) -> None:
    """Until no request is being answered any more: emptying the tables must not meet one that still writes."""
    end = time.monotonic() + seconds
    while any("process_request_thread" in thread.name for thread in threading.enumerate()):
        assert time.monotonic() < end, f"a request is still being answered after {seconds:.0f} s"
        time.sleep(0.02)


def _note_console(page, message):
    if message.type in ("error", "warning") and not ANSWERS.search(message.text):
        page.problems.append(f"{message.type}: {message.text} ({message.location.get('url', '')})")


def log_in(context, url, person):
    """Put the person's session into the browser, without the log-in page."""
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    cookies = [{"name": name, "value": morsel.value, "url": url} for name, morsel in client.cookies.items()]
    context.add_cookies(cookies)


@pytest.fixture
def browser_yard(transactional_db):
    """A yard that has been set up, seen by the server of the browser tests."""
    return make_yard(name="Hollow Oak Yard")


@pytest.fixture
def browser_owner(browser_yard):
    return make_person("owner", "olive")


@pytest.fixture
def phone_page(open_page, browser_owner):
    """A phone on which the owner is logged in."""
    return open_page(PHONE, person=browser_owner, has_touch=True)


@pytest.fixture
def desk_page(open_page, browser_owner):
    """A desk's window in which the owner is logged in."""
    return open_page(DESK, person=browser_owner)


@pytest.fixture
def no_js_page(open_page, browser_owner):
    """A phone without scripts on which the owner is logged in."""
    return open_page(PHONE, person=browser_owner, scripts=False)

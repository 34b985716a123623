"""Every page of the demo yard looked at: phone and desk, light and dark, axe-core, overflow, console."""

import pytest
from django.db import connection

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import axe_violations, overflow_px, shot
from tests.every_page import owner_pages
from yard.demo.build import build
from yard.models import Person

WINDOWS = [
    ("phone, light", PHONE, "light"),
    ("desk, light", DESK, "light"),
    ("phone, dark", PHONE, "dark"),
    ("desk, dark", DESK, "dark"),
]
FEWEST_PAGES = 45  # so that an empty walk cannot pass


@pytest.fixture
def demo_owner(transactional_db, settings, tmp_path):
    if connection.vendor != "sqlite":
        pytest.skip("pages look the same on either database: looked at once, on SQLite")
    settings.MEDIA_ROOT = tmp_path
    build()
    return Person.objects.get(username="marit")


def test_every_page_fits_and_axe_finds_nothing_at_both_sizes_in_both_lights(open_page, demo_owner):
    pages = list(owner_pages())
    assert len(pages) >= FEWEST_PAGES
    faults = []
    for words, size, scheme in WINDOWS:
        window = open_page(size, person=demo_owner, scheme=scheme)
        for name, url in pages:
            answer = window.goto(url, wait_until="load")
            if answer.status != 200:
                faults.append(f"{name}, {words}: answered {answer.status}")
                continue
            shot(window, f"{name}-{scheme}")
            if overflow_px(window) > 0:
                faults.append(f"{name}, {words}: {overflow_px(window)} px too wide")
            faults += [f"{name}, {words}: {violation}" for violation in axe_violations(window)]
        faults += [f"console, {words}: {problem}" for problem in window.problems]
        window.problems.clear()
    assert not faults, "\n".join(faults)

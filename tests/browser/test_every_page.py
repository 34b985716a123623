"""Every page of the demo yard looked at: phone and desk, light and dark, axe-core, overflow, console."""

from importlib import import_module

import pytest
from django.apps import apps

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import faults_of
from tests.every_page import owner_pages
from yard.demo.build import build
from yard.models import Person

FEWEST_PAGES = 66  # so that an empty walk cannot pass


@pytest.fixture
def demo_owner(transactional_db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    build()
    for app in apps.get_app_configs():
        if module := getattr(app, "demo", ""):
            import_module(module).build()
    return Person.objects.get(username="marit")


@pytest.mark.looks
def test_every_page_fits_and_axe_finds_nothing_in_light_and_dark(open_page, demo_owner):
    pages = list(owner_pages())
    assert len(pages) >= FEWEST_PAGES
    faults = []
    for size in (PHONE, DESK):
        window = open_page(size, person=demo_owner)
        for name, url in pages:
            answer = window.goto(url, wait_until="load")
            if answer.status != 200:
                faults.append(f"{name}, {size['width']} px: answered {answer.status}")
                continue
            faults += [f"{size['width']} px: {fault}" for fault in faults_of(window, name)]
        faults += [f"{size['width']} px, console: {problem}" for problem in window.problems]
        window.problems.clear()
    assert not faults, "\n".join(faults)

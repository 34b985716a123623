"""Logs as a person takes them in, finds them and looks at them."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.make import make_log, make_slab
from yard.models import Log


def test_the_three_rules_show_while_a_log_is_typed(phone_page):
    page = phone_page
    page.goto("/logs/new/")
    page.get_by_label("Species").press_sequentially("red oak")
    page.get_by_role("option", name=re.compile("northern red oak")).first.tap()
    page.get_by_label(re.compile("^Small end")).fill("12")
    page.get_by_label(re.compile("^Length")).fill("16")
    scale = page.get_by_role("region", name="Scale")
    expect(scale).to_contain_text("64 b")
    expect(scale).to_contain_text("95 b")
    expect(scale).to_contain_text("80 b")
    scale.locator("summary").nth(2).tap()
    expect(scale).to_contain_text("(D − 4)² × L ÷ 16")
    page.get_by_label("Doyle").check()
    expect(scale.locator(".on-ticket")).to_contain_text("64 b")
    page.get_by_role("button", name="Take in", exact=True).tap()
    expect(page.locator("#_messages")).to_contain_text("is taken in")
    expect(page.locator(".on-ticket")).to_contain_text("64 b")
    log = Log.objects.get()
    assert (log.species_key, log.rule) == ("oak-northern-red", "doyle")


def test_a_log_is_taken_in_without_a_script(no_js_page):
    page = no_js_page
    page.goto("/logs/new/")
    page.get_by_label("Species").fill("white oak")
    page.get_by_label(re.compile("^Small end")).fill("12")
    page.get_by_label(re.compile("^Length")).fill("16")
    page.get_by_role("button", name="Work out the scale").click()
    expect(page.get_by_role("region", name="Scale")).to_contain_text("64 b")
    page.get_by_role("button", name="Take in", exact=True).click()
    expect(page.locator("main")).to_contain_text("is taken in")


def test_the_list_narrows_while_a_word_is_typed(desk_page):
    make_log("K-1", species_key="walnut-black")
    make_log("K-2", species_key="oak-white")
    page = desk_page
    page.goto("/logs/")
    page.get_by_label("Find").fill("walnut")
    expect(page.locator("#found tbody tr")).to_have_count(1)
    expect(page).to_have_url(re.compile("q=walnut"))


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_log_pages_look_right(open_page, browser_owner, size):
    page = open_page(size, person=browser_owner, has_touch=size == PHONE)
    page.goto("/logs/")
    look_over(page, "logs-empty")
    log = make_log("26-7", small_end_in=20, large_end_in=24)
    for _ in range(3):
        make_slab(log=log)
    make_log("26-8", small_end_in=3, large_end_in=None, defect_pct=10)
    for path, name in (
        ("/logs/", "logs"),
        ("/logs/new/", "log-new"),
        (f"/logs/{log.pk}/", "log-page"),
        (f"/logs/{log.pk}/edit/", "log-edit"),
        (f"/logs/{log.pk}/rule/", "log-rule"),
        (f"/logs/{log.pk}/void/", "log-void"),
    ):
        page.goto(path)
        look_over(page, f"{name}")
        if size == PHONE:
            assert not small_targets(page), name

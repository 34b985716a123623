"""The pages that every yard has: looked at on phone and desk, light and dark."""

import pytest

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.make import PASSWORD, make_invite, make_person

PAGES = ["/", "/more/", "/me/", "/people/", "/settings/", "/history/", "/nowhere/"]


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_pages_hold_together_and_axe_finds_nothing(open_page, browser_owner, size):
    page = open_page(size, person=browser_owner)
    for path in PAGES:
        page.goto(path)
        look_over(page, f"foundation-{path}")
    page.problems = [one for one in page.problems if "/nowhere/" not in one]


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_pages_of_strangers_hold_together(open_page, browser_yard, size):
    make_invite(token="abc")
    page = open_page(size)
    for path in ["/login/", "/invite/abc/", "/invite/spent/"]:
        page.goto(path)
        look_over(page, f"stranger-{path}")


def test_targets_on_a_phone_are_thumb_sized(phone_page):
    for path in PAGES[:-1]:
        phone_page.goto(path)
        assert small_targets(phone_page) == [], path


def test_yard_is_set_up_in_the_browser(open_page, transactional_db):
    page = open_page(PHONE, person=make_person("owner", "first"), timezone_id="America/Chicago")
    page.goto("/")
    look_over(page, "set-up")
    assert page.get_by_label("Time zone").input_value() == "America/Chicago"
    page.get_by_label("Name of the yard").fill("Hollow Oak Yard")
    page.get_by_label("Nearest city").select_option(label="Madison, WI")
    page.locator("#id_bays-0-name").fill("Fence")
    page.get_by_role("button", name="Set up the yard").click()
    page.wait_for_url("**/")
    assert "The yard is set up" in page.inner_text("main")


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_logging_in_and_out(open_page, browser_yard, scripts):
    make_person("hand", "hank")
    page = open_page(PHONE, scripts=scripts)
    page.goto("/history/")
    page.get_by_label("Name").fill("Hank")
    page.get_by_label("Password").fill("wrong")
    page.get_by_role("button", name="Log in").click()
    assert "do not fit together" in page.inner_text("main")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.wait_for_url("**/history/")
    page.goto("/more/")
    page.get_by_role("button", name="Log out").click()
    page.wait_for_url("**/login/")


def test_page_is_reached_by_keyboard_past_the_menu(desk_page):
    desk_page.goto("/history/")
    desk_page.keyboard.press("Tab")
    assert desk_page.evaluate("document.activeElement.textContent") == "Skip to the page"
    desk_page.keyboard.press("Enter")
    desk_page.keyboard.press("Tab")
    assert desk_page.evaluate("document.activeElement.closest('main') !== null")


def test_theme_of_the_person_beats_the_device(open_page, browser_yard):
    page = open_page(PHONE, person=make_person("hand", theme="dark"), scheme="light")
    page.goto("/me/")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(17, 23, 20)"

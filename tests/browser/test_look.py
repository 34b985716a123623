"""Every part of pages, with a chart that plotly draws under the Content-Security-Policy."""

import pytest

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import AXE_COLOURS, axe_violations, look_over


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_part_and_a_chart_without_a_breach_of_the_policy(open_page, browser_owner, settings, size):
    settings.DEBUG = True
    page = open_page(size, person=browser_owner)
    page.goto("/look/")
    page.wait_for_selector("#look-chart .main-svg")
    assert page.locator("#look-chart .scatterlayer path.js-line").count() >= 1, "the line is drawn"
    look_over(page, "look")


def test_a_look_finds_pale_words_and_a_picture_without_words(chromium):
    page = chromium.new_page()
    page.set_content(
        """<html lang="en"><title>Pale</title><main><h1>Pale</h1><img src="data:,">
        <p style="color:#999">2.8 to 1</p><p style="color:#666">5.7 to 1</p><p style="color:#555">7.5 to 1</p></main>"""
    )
    found = axe_violations(page)
    assert [one.split(":")[0] for one in found] == ["color-contrast", "image-alt"]
    assert "2.8 to 1" in axe_violations(page, AXE_COLOURS)[0]
    page.locator("p").first.evaluate("one => one.remove()")
    assert "5.7 to 1" in axe_violations(page, AXE_COLOURS)[0]
    page.locator("p").first.evaluate("one => one.remove()")
    assert axe_violations(page, AXE_COLOURS) == []
    page.close()


def test_policy_forbids_inline_script_and_style(open_page, browser_yard):
    page = open_page(DESK)
    answer = page.goto("/login/")
    policy = answer.headers["content-security-policy"]
    assert "unsafe" not in policy
    page.evaluate("document.body.insertAdjacentHTML('beforeend', '<p id=x style=\"color:red\" onclick=\"0\">x</p>')")
    assert page.evaluate("getComputedStyle(document.getElementById('x')).color") != "rgb(255, 0, 0)"
    assert any("Content Security Policy" in problem for problem in page.problems)
    page.problems.clear()


def test_suggestions_of_species_are_taken_by_keyboard_and_by_tap(open_page, browser_owner, settings):
    settings.DEBUG = True
    page = open_page(PHONE, person=browser_owner, has_touch=True)
    page.goto("/look/")
    species = page.get_by_label("Species", exact=True)
    species.press_sequentially("walnut")
    page.get_by_role("option", name="black walnut").wait_for()
    look_over(page, "look-suggestions")
    species.press("ArrowDown")
    species.press("Enter")
    assert "walnut" in species.input_value()
    species.fill("")
    species.press_sequentially("hard maple")
    page.get_by_role("option", name="sugar maple").tap()
    assert species.input_value() == "sugar maple"

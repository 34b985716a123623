"""Kilns and schedules in a real browser: the sheet with its chart, what if, the forms without a script."""

import pytest
from playwright.sync_api import expect

from kilns.models import Kiln, Schedule
from kilns.physics.schedules import humid_step
from kilns.services.schedules import schedule_add
from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.kilns.make import make_kiln


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_sheet_draws_its_winter_and_holds_together(open_page, browser_owner, size):
    kiln = make_kiln("Sun kiln")
    page = open_page(size, person=browser_owner, has_touch=size == PHONE)
    page.goto(f"/kilns/{kiln.pk}/", timeout=30_000)  # the first one reads every table, and seeks the best tilt
    expect(page.locator("#winter-chart .main-svg").first).to_be_visible()
    assert page.locator("#winter-chart .scatterlayer .trace").count() == 3
    look_over(page, "kiln sheet")
    assert small_targets(page) == []
    for summary in page.locator("main details > summary:visible").all():
        if summary.is_visible():
            summary.click()
    expect(page.get_by_role("region", name="The winter as a table")).to_contain_text("To sanitise")
    look_over(page, "kiln sheet, all opened")


def test_a_figure_is_tried_on_a_phone_and_taken_back(phone_page):
    kiln = make_kiln("Sun kiln")
    page = phone_page
    page.goto(f"/kilns/{kiln.pk}/")
    page.get_by_text("The kiln itsel").tap()
    page.get_by_label("Heaters").fill("1500")
    page.get_by_role("button", name="Show").tap()
    expect(page.get_by_text("Nothing was saved. As it is built")).to_be_visible()
    page.get_by_role("link", name="As it is built").first.tap()
    expect(page.get_by_text("Nothing was saved. As it is built")).to_have_count(0)
    assert Kiln.objects.get().version == 1


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_other_page_of_kilns_fits_and_axe_finds_nothing(open_page, browser_owner, size):
    kiln = make_kiln("Sun kiln")
    kept = schedule_add(by=None, name="Slow oak", steps=[humid_step(400, 95, 80), humid_step(30, 130, 50)])
    surface = kiln.surfaces.first()
    page = open_page(size, person=browser_owner)
    for name, path in {
        "kilns": "/kilns/", "kiln new": "/kilns/new/", "kiln edit": f"/kilns/{kiln.pk}/edit/",
        "surface": f"/kilns/surfaces/{surface.pk}/", "equipment": f"/kilns/{kiln.pk}/equipment/",
        "schedules": "/kilns/schedules/", "schedule new": "/kilns/schedules/new/",
        "schedule": f"/kilns/schedules/{kept.pk}/?kiln={kiln.pk}",
        "schedule edit": f"/kilns/schedules/{kept.pk}/edit/",
        "schedule found": f"/kilns/schedules/find/?code=T4-D2&kiln={kiln.pk}",
    }.items():  # fmt: skip
        page.goto(path)
        look_over(page, name)
        assert small_targets(page) == [], name


def test_a_kiln_and_a_schedule_are_written_without_a_script(no_js_page):
    page = no_js_page
    page.goto("/kilns/new/")
    page.get_by_label("Name").fill("Barn kiln")
    page.get_by_role("button", name="Add it").click()
    page.get_by_role("link", name="Floor").click()
    page.get_by_role("group", name="Layer 2").get_by_label("Thickness").fill("4")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("link", name="Floor")).to_contain_text("XPS foam board 4 in")
    page.goto(f"/kilns/{Kiln.objects.get().pk}/")
    page.get_by_text("The winter as a table").click()
    expect(page.get_by_role("region", name="The winter as a table")).to_contain_text("-30")
    page.goto("/kilns/schedules/new/")
    page.get_by_label("Name").fill("Slow oak")
    page.get_by_label("Dry bulb").first.fill("100")
    page.get_by_label("Wet bulb").first.fill("95")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Slow oak")
    assert Schedule.objects.get().steps.count() == 1

"""The main job, end to end, as a person does it: log in, take in a log, saw it, stack it, weigh it, see it ready.

Once with scripts and once without. A year of air-drying lies between the saw and the stack's first weighing; the
test turns the saw's date back by it, since no browser waits that long.
"""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over
from tests.make import PASSWORD, make_bay
from yard.models import Log, Slab, SlabState, Stack

SLABS = ("14 13 13.5", "15.5 15 16", "14.5 14 15")
DRIED = timedelta(days=400)


def log_in(page):
    page.goto("/")
    page.get_by_label("Name").fill("olive")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Today")


def take_in_a_log(page):
    page.goto("/logs/new/")
    page.get_by_label("Species").fill("northern red oak")
    page.get_by_label(re.compile("^Small end")).fill("16")
    page.get_by_label(re.compile("^Large end")).fill("20")
    page.get_by_label(re.compile("^Length")).fill("8' 6\"")
    page.get_by_label(re.compile("^Arrived")).fill(str(timezone.localdate() - DRIED))
    page.get_by_role("button", name="Take in", exact=True).click()
    expect(page).to_have_url(re.compile(r"/logs/\d+/"))
    expect(page.get_by_role("heading", level=1)).to_contain_text(Log.objects.get().tag)


def saw_it(page):
    page.goto(f"/logs/{Log.objects.get().pk}/saw/")
    for widths in SLABS:
        page.get_by_label(re.compile("Sawn thickness")).fill("1 1/8")
        page.get_by_label(re.compile("^Length")).fill("8")
        page.get_by_label(re.compile("Widths, butt")).fill(widths)
        count = Slab.objects.count()
        page.get_by_role("button", name="Add slab").click()
        expect(page.locator(".saw-row")).to_have_count(count + 1)
    page.get_by_role("button", name="The log is sawn").click()
    expect(page.get_by_text(re.compile("is sawn")).first).to_be_visible()


def a_year_goes_by():
    earlier = timezone.localdate() - DRIED
    Slab.objects.update(sawn_on=earlier)
    Log.objects.update(sawn_on=earlier)


def stack_it(page, scripts):
    page.goto("/stacks/build/")
    tags = list(Slab.objects.order_by("position").values_list("tag", flat=True))
    page.get_by_label("Slabs from the bottom up").fill("\n".join(tags))
    page.get_by_label("Bay").select_option(label="North row (outdoors)")
    at = timezone.localtime(timezone.now() - DRIED + timedelta(days=1))
    page.get_by_label(re.compile("^When|^Built|^At")).fill(at.strftime("%Y-%m-%dT%H:%M"))
    if not scripts:
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_role("region", name="What it comes to")).to_contain_text("bf")
    page.get_by_role("button", name="Build", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Stack ST-1")


def weigh_it(page):
    slab = Slab.objects.order_by("position").first()
    page.goto("/weigh/")
    page.get_by_label(re.compile("code|tag", re.I)).first.fill(slab.tag)
    page.get_by_role("button", name="Find").click()
    if page.get_by_role("heading", name="Which one?").count():
        page.locator(".way-list a").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(slab.tag)
    page.get_by_label(re.compile("^Weight")).first.fill("34.5")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text(re.compile("34.50? lb")).first).to_be_visible()
    page.goto(f"/weigh/{slab.code}/meter/")
    page.get_by_label(re.compile("^The meter shows")).fill("15.5")
    page.get_by_label(re.compile("^Depth of the pins")).fill("1/4")
    page.get_by_label(re.compile("^Temperature of the wood")).fill("60")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text(re.compile(r"MC now")).first).to_be_visible()


def see_it_ready(page):
    page.goto("/ready/")
    row = page.locator(".ready-list tbody tr")
    expect(row).to_have_count(1)
    expect(row).to_contain_text("ST-1")
    expect(row).to_contain_text("20%: ready")
    expect(row).to_contain_text("North row")


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without scripts"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_main_job_from_log_in_to_the_ready_list(open_page, browser_owner, scripts, size):
    make_bay("North row")
    page = open_page(size, scripts=scripts)
    log_in(page)
    take_in_a_log(page)
    saw_it(page)
    a_year_goes_by()
    stack_it(page, scripts)
    weigh_it(page)
    see_it_ready(page)
    assert set(Slab.objects.values_list("state", flat=True)) == {SlabState.STACKED}
    assert Stack.objects.get().cohorts.get().estimate.mean_high_pct < 20
    if scripts:
        look_over(page, "main-job-ready")

"""Weighing in a real browser: at phone size, with keys for gloves, without any script, light enough for slow signal."""

import gzip
from datetime import timedelta
from urllib.parse import urlsplit

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.make import make_slab, make_stack
from yard.models import MeterReading, OvenSection, Weighing
from yard.services.estimates import estimates_refresh
from yard.services.samples import sample_add, sample_of_slab
from yard.services.weighings import weighing_record

MOST_BYTES = 60_000  # of the first load, over the wire


@pytest.fixture
def slab(browser_yard):
    day = timezone.localdate() - timedelta(days=60)
    slabs = [make_slab(tag=f"W-{n}", sawn_on=day) for n in (1, 2)]
    stack = make_stack(tag="ST-9", slabs=slabs, at=timezone.now() - timedelta(days=59))
    estimates_refresh(cohort_ids=[stack.cohorts.get().pk], because="a test")
    return stack.slabs_now.get(tag="W-1")


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_weigh_pages_fit_and_axe_finds_nothing(open_page, browser_owner, slab, size):
    sample = sample_of_slab(slab=slab)
    weighing, _ = weighing_record(sample=sample, weight_lb=120.0, by=browser_owner)
    cohort = slab.cohort_id
    page = open_page(size, person=browser_owner, has_touch=size == PHONE)
    for path in (
        "/weigh/", "/weigh/?q=W-", f"/weigh/{sample.code}/", f"/weigh/{slab.stack.code}/stack/",
        f"/weigh/{sample.code}/meter/", f"/weigh/{sample.code}/oven/", f"/weigh/kept/weighing/{weighing.pk}/",
        f"/records/weighing/{weighing.pk}/void/", f"/cohorts/{cohort}/samples/new/",
    ):  # fmt: skip
        page.goto(path)
        look_over(page, f"{path}")
        if size == PHONE:
            assert not small_targets(page), f"{path}: {small_targets(page)}"


def test_a_gloved_thumb_finds_types_confirms_and_reads_what_it_changed(phone_page, slab):
    page = phone_page
    page.goto("/weigh/")
    page.get_by_label("Code or tag").fill("w-1")
    page.get_by_role("button", name="Find").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Slab W-1")
    for key in "140":
        page.locator(f'#weigh-pad [data-key="{key}"]').click()
    expect(page.locator("#weigh-says")).to_have_text("")
    for key in ("back", "9"):
        page.locator(f'#weigh-pad [data-key="{key}"]').click()
    expect(page.locator("#weigh-says")).to_contain_text("Outside the plausible range")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("can well have been when green")).to_be_visible()
    assert page.get_by_label("Weight", exact=True).input_value() == "149"
    assert not Weighing.objects.exists()
    page.get_by_role("button", name="It is right: save it all the same").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Kept")
    expect(page.get_by_text("MC now")).to_be_visible()
    assert Weighing.objects.get().weight_lb == 149.0


def test_the_figures_of_the_outlook_follow_the_unit_and_the_unit_is_kept(phone_page, slab):
    page = phone_page
    page.goto(f"/weigh/{slab.code}/")
    pounds = page.locator("#outlook").inner_text()
    assert " lb" in pounds
    page.get_by_role("radio", name="kg").check()
    expect(page.locator("#outlook")).to_contain_text(" kg")
    page.get_by_label("Weight", exact=True).fill("50")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Kept")
    page.goto(f"/weigh/{slab.stack.code}/stack/")
    expect(page.get_by_role("radio", name="kg")).to_be_checked()


def test_the_handbooks_sample_shows_its_dry_weight_and_its_moisture_while_it_is_typed(phone_page, slab):
    # AH-188 worked example (memory high): 4.46 lb at 92.4% is 2.32 lb oven-dry; at 4.14 lb it is at 78%.
    sample = sample_add(cohort=slab.cohort, name="A-3")
    page = phone_page
    page.goto(f"/weigh/{sample.code}/oven/")
    page.get_by_label("Section, wet").fill("192.4")
    page.get_by_label("Section, oven-dry").fill("100")
    expect(page.locator("#weigh-says")).to_have_text("The section was at 92%.")
    page.get_by_label("Cut from the sample").select_option(label="A-3")
    page.get_by_label("What is left of the sample weighs").fill("4.46")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("2.32 lb").first).to_be_visible()
    OvenSection.objects.get()
    page.goto(f"/weigh/{sample.code}/")
    page.get_by_label("Weight", exact=True).fill("4.14")
    expect(page.locator("#weigh-says")).to_contain_text("This piece is then at 78%.")


def test_all_of_it_works_without_a_script(no_js_page, slab):
    page = no_js_page
    page.goto("/weigh/")
    page.get_by_label("Code or tag").fill(slab.code)
    page.get_by_role("button", name="Find").click()
    page.get_by_label("Weight", exact=True).fill("50")
    page.get_by_role("radio", name="kg").check()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Kept")
    expect(page.get_by_text("MC now")).to_be_visible()
    page.goto(f"/weigh/{slab.code}/meter/")
    page.get_by_label("The meter shows").fill("60")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("Meter reading 60% is outside 7 to 28%")).to_be_visible()
    page.get_by_role("button", name="Keep it all the same").click()
    expect(page.get_by_text("counts for nothing")).to_be_visible()
    assert not MeterReading.objects.get().usable
    page.get_by_role("link", name="It was wrong: void it").click()
    page.get_by_label("Why does it not count?").fill("wrong meter")
    page.get_by_role("button", name="Void it").click()
    expect(page.get_by_text("It counts no more")).to_be_visible()


def test_the_first_load_of_the_weigh_screen_is_small_and_has_no_chart_code(phone_page, slab):
    sizes = {}

    def note(response):
        # The development server sends files plain; production packs them, as gzip does here.
        if response.status == 200 and urlsplit(response.url).scheme.startswith("http"):
            sizes[urlsplit(response.url).path] = len(gzip.compress(response.body()))

    phone_page.on("response", note)
    phone_page.goto(f"/weigh/{slab.code}/", wait_until="networkidle")
    assert not [path for path in sizes if "plotly" in path or "chart" in path]
    assert sum(sizes.values()) <= MOST_BYTES, sizes
    assert len(sizes) > 5, "the page's own files were counted"

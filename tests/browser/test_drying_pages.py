"""The drying curve, the ready list, the first page, weather and sensors in a real browser."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.make import make_estimate, make_log, make_sensor, make_slab, make_stack
from tests.yard.views.test_weather import days_back
from yard.models import Reading, SensorDay, WeatherFile
from yard.services.estimates import estimates_refresh
from yard.services.moisture_records import meter_reading_record, oven_section_record
from yard.services.samples import sample_add
from yard.services.weighings import weighing_record


@pytest.fixture
def stack(browser_yard):
    """A stack of a year with sections, weighings and a meter reading, one of them voided."""
    day = timezone.localdate() - timedelta(days=300)
    slabs = [make_slab(sawn_on=day), make_slab(sawn_on=day, species_key="walnut-black")]
    stack = make_stack(tag="ST-9", slabs=slabs, at=timezone.now() - timedelta(days=299))
    oak = stack.cohorts.get(species_key="oak-northern-red")
    sample = sample_add(cohort=oak, name="A")
    for ago, weight in ((290, 10.0), (200, 8.6), (60, 7.4)):
        weighing_record(sample=sample, weight_lb=weight, by=None, made_at=timezone.now() - timedelta(days=ago))
    oven_section_record(cohort=oak, wet_lb=1.7, oven_dry_lb=1.0, by=None, cut_at=timezone.now() - timedelta(days=290))
    lately = timezone.now() - timedelta(days=5)
    meter_reading_record(cohort=oak, reading_pct=24.0, depth_in=0.5, by=None, made_at=lately)
    estimates_refresh(cohort_ids=stack.cohorts.values_list("pk", flat=True), because="a test")
    return stack


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_curve_is_drawn_and_the_page_holds_together(open_page, browser_owner, stack, size):
    page = open_page(size, person=browser_owner, has_touch=size == PHONE)
    page.goto(f"/stacks/{stack.pk}/")
    expect(page.locator("#drying-chart .main-svg").first).to_be_visible()
    assert page.locator("#drying-chart .scatterlayer .trace").count() >= 7
    legend = page.locator("#drying-legend").inner_text()
    for words in ("mean MC", "8 times in 10", "EMC of the air", "Sample A", "Oven section", "Meter, at its depth"):
        assert words in legend
    look_over(page, "stack with its curve")
    for summary in ("The curve as a table", "What this stands on", "Show the working: the estimate"):
        page.get_by_text(summary, exact=False).first.click()
    expect(page.get_by_role("region", name="The curve as a table")).to_be_visible()
    look_over(page, "stack, all opened")


def test_another_wood_of_the_stack_is_a_tab_and_a_record_is_voided_from_its_list(desk_page, stack):
    page = desk_page
    page.goto(f"/stacks/{stack.pk}/")
    page.get_by_role("link", name="Black walnut, 2 1/8 in").click()
    expect(page.get_by_text("Nothing yet. A weighing of one piece")).to_be_visible()
    page.get_by_role("link", name="Northern red oak, 2 1/8 in").click()
    page.get_by_role("link", name="Void A o").first.click()
    page.get_by_label("Why does it not count?").fill("misread")
    page.get_by_role("button", name="Void it").click()
    expect(page.get_by_text("It counts no more")).to_be_visible()
    expect(page.get_by_text("misread")).to_be_visible()


def test_without_a_script_the_table_says_what_the_curve_would(no_js_page, stack):
    no_js_page.goto(f"/stacks/{stack.pk}/")
    expect(no_js_page.get_by_text("The curve is drawn by a script")).to_be_visible()
    no_js_page.get_by_text("The curve as a table").click()
    expect(no_js_page.get_by_role("region", name="The curve as a table")).to_contain_text("today")


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_lists_of_the_drying_wood_fit_and_axe_finds_nothing(open_page, browser_owner, stack, size):
    soon = timezone.localdate() + timedelta(days=20)
    make_estimate(make_stack(tag="THERE").cohorts.get(), mean_pct=16.0, ready_on=timezone.localdate(), reached_now=0.97)
    make_estimate(
        make_stack(tag="FAST").cohorts.get(), mean_pct=50.0, ready_on=soon, rate_pct_day=2.5, safe_rate_pct_day=1.2,
        conflicts=[{"words": "The weighing of A is 9% heavier than everything else says.", "off_by_sd": 4.0}],
    )  # fmt: skip
    make_slab(log=make_log("L-1"), sawn_on=timezone.localdate() - timedelta(days=150))
    page = open_page(size, person=browser_owner, has_touch=size == PHONE)
    for path in ("/", "/ready/", "/ready/?tab=soon", "/ready/?tab=later", "/ready/?tab=risk", "/ready/?quarters=8"):
        page.goto(path)
        look_over(page, f"{path}")
        if size == PHONE:
            assert not small_targets(page), f"{path}: {small_targets(page)}"


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_weather_and_sensor_pages_fit_and_axe_finds_nothing(open_page, browser_owner, tmp_path, size):
    columns = {"time": "When", "temp": "T", "temp_unit": "F"}
    sensor = make_sensor("Post by the mill", is_outdoor=True, column_map=columns)
    for n in range(1, 4):
        SensorDay.objects.create(
            sensor=sensor, day=timezone.localdate() - timedelta(days=n), temp_f=40, rh_pct=60, readings=30, hours=9 + n
        )  # fmt: skip
    file = tmp_path / "station.epw"
    file.write_bytes(days_back(20, 9))
    page = open_page(size, person=browser_owner, has_touch=size == PHONE)
    page.goto("/weather/read/")
    look_over(page, "read weather")
    page.get_by_label("Weather files").set_input_files(file)
    page.get_by_role("button", name="Look at it").click()
    expect(page.get_by_role("button", name="Keep these days")).to_be_visible()
    look_over(page, "look at weather")
    page.get_by_role("button", name="Keep these days").click()
    expect(page.get_by_text("9 days of station.epw are the yard's weather now")).to_be_visible()
    expect(page.locator("#weather-chart .main-svg").first).to_be_visible()
    for path in ("/weather/", "/sensors/", f"/sensors/{sensor.pk}/", f"/sensors/{sensor.pk}/edit/", "/sensors/new/"):
        page.goto(path)
        look_over(page, f"{path}")
        if size == PHONE:
            assert not small_targets(page), f"{path}: {small_targets(page)}"
    assert WeatherFile.objects.get().days_read == 9


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_sensors_file_is_read_as_a_person_would(open_page, browser_owner, tmp_path, scripts):
    sensor = make_sensor("Post")
    file = tmp_path / "july.csv"
    file.write_text("When;Air T;Air H\n01.07.2025 12:00;26,7;55\n01.07.2025 13:00;27,1;50\n")
    page = open_page(PHONE, person=browser_owner, scripts=scripts)
    page.goto(f"/sensors/{sensor.pk}/")
    page.get_by_role("link", name="Read a file").click()
    page.get_by_label("File of readings").set_input_files(file)
    page.get_by_role("button", name="Look at it").click()
    page.get_by_label("Date and time").select_option("When")
    page.get_by_label("Temperature (dry bulb)").select_option("Air T")
    page.get_by_label("Relative humidity").select_option("Air H")
    page.get_by_label("°C").check()
    page.get_by_label("Dates are written").select_option("dmy")
    page.get_by_label("Decimals have a comma").check()
    page.get_by_role("button", name="Look at what it gives").click()
    expect(page.get_by_role("button", name="Keep 2 readings")).to_be_visible()
    if scripts:
        look_over(page, "columns of a sensor's file")
    page.get_by_role("button", name="Keep 2 readings").click()
    expect(page.get_by_text("2 new readings are kept")).to_be_visible()
    assert Reading.objects.count() == 2

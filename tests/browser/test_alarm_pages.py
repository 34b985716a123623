"""Alarms, sensors of a kiln, tokens and the description of readings by post, in a real browser."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from kilns.models import Alarm, KilnSensor
from kilns.services.kiln_sensors import kiln_sensor_put
from tests.browser.conftest import DESK, PHONE
from tests.browser.looking import look_over, small_targets
from tests.kilns.make import make_kiln
from tests.make import make_sensor
from yard.services.reading_tokens import reading_token_find, reading_token_make


def three_alarms(kiln):
    told = {"what_to_do": "Turn the heat down or open the vents.", "kiln": kiln}
    Alarm.objects.create(kind="hot-wood", level="danger", words="Too hot for the wood: 131 °F.", **told)
    Alarm.objects.create(kind="hold", level="info", words="Hold reached.", **told)
    Alarm.objects.create(kind="frozen", level="caution", words="Frozen.", closed_at=timezone.now(), **told)


@pytest.mark.looks
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_pages_of_alarms_and_sensors_fit_and_axe_finds_nothing(open_page, browser_owner, size):
    kiln, sensor = make_kiln("Sun kiln"), make_sensor("Kiln air")
    three_alarms(kiln)
    kiln_sensor_put(kiln=kiln, sensor=sensor, place="air_in", by=browser_owner)
    reading_token_make(name="Hub in the kiln", sensors=[sensor, make_sensor("Probe")], by=browser_owner)
    page = open_page(size, person=browser_owner)
    for name, path in {
        "alarms": "/kilns/alarms/", "today with alarms": "/", "sensors of a kiln": f"/kilns/{kiln.pk}/sensors/",
        "sensor": f"/sensors/{sensor.pk}/", "tokens": f"/sensors/{sensor.pk}/tokens/", "readings by post": "/api/",
    }.items():  # fmt: skip
        page.goto(path)
        look_over(page, name)
        assert small_targets(page) == [], name


def test_an_alarm_is_seen_on_a_phone_and_stays_quietly_in_the_list(phone_page):
    three_alarms(make_kiln("Sun kiln"))
    page = phone_page
    page.goto("/")
    page.get_by_role("link", name=re.compile("Too hot for the wood")).tap()
    page.get_by_role("button", name="I have seen it").first.tap()
    expect(page.get_by_text("quiet until it changes").first).to_be_visible()
    assert Alarm.objects.filter(seen_at__isnull=False).count() == 1
    assert Alarm.objects.filter(closed_at__isnull=True).count() == 2


def test_a_token_and_a_place_in_a_kiln_are_made_without_a_script(no_js_page):
    kiln, sensor = make_kiln("Sun kiln"), make_sensor("Kiln air")
    page = no_js_page
    page.goto(f"/sensors/{sensor.pk}/tokens/")
    page.get_by_label("What sends with it").fill("Hub")
    page.get_by_role("button", name="Make a token").click()
    secret = page.get_by_label("The token").input_value()
    assert reading_token_find(secret).sensors.get() == sensor
    page.goto(f"/kilns/{kiln.pk}/sensors/")
    page.get_by_label("Sensor", exact=True).select_option("Kiln air")
    page.get_by_role("button", name="Put it in").click()
    expect(page.get_by_role("link", name="Kiln air")).to_be_visible()
    assert KilnSensor.objects.get().kiln == kiln

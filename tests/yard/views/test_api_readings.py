"""`POST /api/readings/`: taken once, told what was not, nothing half kept."""

import json
from datetime import UTC, datetime, timedelta

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.make import make_bay, make_sensor, make_stack
from yard.models import Cohort, History, Reading, ReadingToken, SensorDay
from yard.services import readings as readings_service
from yard.services.reading_tokens import reading_token_make, reading_token_revoke

NOW = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _clock_stands(monkeypatch):
    cache.clear()
    monkeypatch.setattr(timezone, "now", lambda: NOW)


@pytest.fixture
def sensor(yard):
    return make_sensor("Shed")


@pytest.fixture
def token(sensor):
    return reading_token_make(name="Post", sensors=[sensor], by=None)[1]


def post(body, token="", **headers):
    if not isinstance(body, (bytes, str)):
        body = json.dumps(body)
    if token:
        headers["HTTP_AUTHORIZATION"] = f"Bearer {token}"
    return Client(enforce_csrf_checks=True).post("/api/readings/", body, content_type="application/json", **headers)


def reading(minutes=0, **measured):
    return {"time": (NOW - timedelta(minutes=minutes)).isoformat()} | (measured or {"temp_f": 92.5, "rh_pct": 61})


def why(answer):
    return [one["why"] for one in answer.json()["refusals"]]


def test_one_reading_is_kept_with_what_it_measured(sensor, token):
    answer = post(reading(temp_f=92.5, rh_pct=61), token)
    assert answer.status_code == 200
    assert answer.json() == {"taken": 1, "known": 0, "refused": 0, "refusals": [], "notes": []}
    kept = Reading.objects.get()
    assert (kept.sensor, kept.at, kept.temp_f, kept.rh_pct, kept.core_f) == (sensor, NOW, 92.5, 61.0, None)
    assert SensorDay.objects.get().temp_f == 92.5


def test_celsius_wet_bulb_core_and_seconds_since_1970_are_understood(sensor, token):
    body = {"readings": [{"time": NOW.timestamp(), "temp_c": 40, "wet_bulb_c": 35, "core_c": 30}]}
    assert post(body, token).json()["taken"] == 1
    kept = Reading.objects.get()
    assert (kept.at, kept.temp_f, kept.wet_bulb_f, kept.core_f) == (NOW, 104.0, 95.0, 86.0)
    assert post([{"time": NOW.timestamp() * 1000, "temp_f": 104.0, "wet_bulb_f": 95, "core_f": 86}], token).json() == {
        "taken": 0, "known": 1, "refused": 0, "refusals": [], "notes": [],
    }  # fmt: skip


def test_offsets_before_and_after_the_clocks_change_are_two_times(sensor, token):
    """On 1 November 2026 the clock of Chicago shows 01:30 twice; here the year before."""
    body = [{"time": "2025-11-02T01:30:00-05:00", "temp_f": 40}, {"time": "2025-11-02T01:30:00-06:00", "temp_f": 41}]
    assert post(body, token).json()["taken"] == 2
    first, second = Reading.objects.order_by("at")
    assert second.at - first.at == timedelta(hours=1)


def test_repeated_and_out_of_order_readings_change_nothing(sensor, token):
    batch = [reading(minutes) for minutes in (3, 1, 2)]
    assert post(batch, token).json()["taken"] == 3
    for _ in range(3):
        again = post([*reversed(batch), batch[0]], token).json()
        assert (again["taken"], again["known"], again["refused"]) == (0, 4, 0)
    assert Reading.objects.count() == 3
    assert SensorDay.objects.get().readings == 3


def test_a_time_sent_again_with_other_figures_is_told_and_the_first_stays(sensor, token):
    post(reading(temp_f=90.0), token)
    answer = post([reading(temp_f=91.0), reading(1, temp_f=91.0)], token).json()
    assert (answer["taken"], answer["known"]) == (1, 1)
    assert "1 of the times were known with other figures" in answer["notes"][0]
    assert "clock set back" in answer["notes"][0]
    assert Reading.objects.get(at=NOW).temp_f == 90.0
    assert ReadingToken.objects.get().last_told == answer["notes"][0]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"time": "2026-03-02T18:30:00Z", "temp_f": 60}, "30 min ahead of the yard's clock"),
        ({"time": "2030-01-01T00:00:00Z", "temp_f": 60}, "set the sensor's clock"),
        ({"time": "2000-01-01T00:04:00Z", "temp_f": 60}, "clock that was reset"),
        ({"time": 12, "temp_f": 60}, "clock that was reset"),
        ({"time": "2026-03-02T12:00:00", "temp_f": 60}, "no offset from UTC"),
        ({"time": "yesterday", "temp_f": 60}, "not ISO 8601"),
        ({"time": 1e300, "temp_f": 60}, "no count of seconds"),
        ({"time": 10**400, "temp_f": 60}, "is no count of seconds"),
        ({"time": "2026-03-02T12:00:00Z", "temp_f": 60, "sensor": "A\0\ud800"}, "this token is not for a sensor A"),
        ({"time": "2026-03-02T12:00:00Z", "te\0mp\ud800": 60}, "unknown: te"),
        ({"temp_f": 60}, "time is missing"),
        ({"time": True, "temp_f": 60}, "time is missing"),
        ({"time": "2026-03-02T12:00:00Z"}, "nothing was measured"),
        ({"time": "2026-03-02T12:00:00Z", "temp_f": "60"}, "temp_f is a number"),
        ({"time": "2026-03-02T12:00:00Z", "temp_f": 60, "temp_c": 15}, "temp_f or temp_c, not both"),
        ({"time": "2026-03-02T12:00:00Z", "temp_f": 900}, "dry bulb 900 °F is outside"),
        ({"time": "2026-03-02T12:00:00Z", "core_c": -273}, "core -273 °C is outside"),
        ({"time": "2026-03-02T12:00:00Z", "temp_f": 60, "rh_pct": 140}, "rh_pct 140 is outside"),
        ({"time": "2026-03-02T12:00:00Z", "temp_f": 60, "wet_bulb_f": 90}, "are they swapped?"),
        ({"time": "2026-03-02T12:00:00Z", "temperature": 60}, "unknown: temperature"),
        ({"time": "2026-03-02T12:00:00Z", "temp_f": 60, "sensor": 7}, "sensor is its code"),
        ("warm", "a reading is an object"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_with_why_and_the_others_are_kept(sensor, token, given, words):
    answer = post([reading(5), given, reading(4)], token)
    assert answer.status_code == 200
    told = answer.json()
    assert (told["taken"], told["refused"]) == (2, 1)
    assert told["refusals"][0]["reading"] == 2
    assert words in told["refusals"][0]["why"]
    assert Reading.objects.count() == 2
    alone = post(given if isinstance(given, dict) else [given], token)
    assert (alone.status_code, alone.json()["taken"]) == (422, 0)


@pytest.mark.parametrize(
    "body", ["", "{", "7", '"x"', '{"readings": 4}', '[{"time": 1, "temp_f": NaN}]', b"\xff\xfe\x00", "[" * 100_000]
)
def test_what_is_no_message_is_refused_whole(sensor, token, body):
    answer = post(body, token)
    assert answer.status_code == 400
    assert "Nothing of it was kept" in answer.json()["error"]
    assert not Reading.objects.exists()


def test_a_message_of_more_than_ten_megabytes_is_refused_in_words(sensor, token):
    body = json.dumps([reading()]) + " " * (10 * 1024 * 1024)
    answer = post(body, token)
    assert answer.status_code == 413
    assert "larger than 10 MB" in answer.json()["error"]
    assert "Nothing of it was kept" in answer.json()["error"]
    assert not Reading.objects.exists()


def test_a_wrong_a_revoked_and_no_token_let_nothing_in(sensor, token):
    assert post(reading()).status_code == 401
    wrong = post(reading(), token + "x")
    assert (wrong.status_code, wrong["WWW-Authenticate"]) == (401, 'Bearer realm="readings"')
    assert "no such token" in wrong.json()["error"]
    assert post(reading(), HTTP_AUTHORIZATION=f"Basic {token}").status_code == 401
    reading_token_revoke(token=ReadingToken.objects.get(), by=None)
    revoked = post(reading(), token)
    assert revoked.status_code == 401
    assert "was revoked on 2026-03-02" in revoked.json()["error"]
    assert not Reading.objects.exists()


def test_many_wrong_tokens_from_one_address_are_slowed_but_a_right_one_still_passes(sensor, token):
    answers = [post(reading(), f"wrong{n}").status_code for n in range(22)]
    assert answers == [401] * 20 + [429] * 2
    assert post(reading(), "wrong")["Retry-After"] == "600"
    assert post(reading(), "wrong", REMOTE_ADDR="10.0.0.9").status_code == 401
    assert post(reading(), token).status_code == 200


def test_somebody_logged_in_is_refused_here_whatever_their_role(owner_client, sensor, token):
    answer = owner_client.post(
        "/api/readings/", json.dumps(reading()), content_type="application/json", HTTP_AUTHORIZATION=f"Bearer {token}"
    )
    assert answer.status_code == 403
    assert not Reading.objects.exists()


def test_a_hubs_readings_go_each_to_its_sensor(yard):
    first, second, other = make_sensor("In"), make_sensor("Out"), make_sensor("Not the hub's")
    token = reading_token_make(name="Hub", sensors=[first, second], by=None)[1]
    answer = post(
        [
            {"sensor": first.code.lower(), **reading(1, temp_f=100)},
            {"sensor": second.code, **reading(1, temp_f=90)},
            {"sensor": other.code, **reading(1)},
            reading(2),
        ],
        token,
    ).json()
    assert (answer["taken"], answer["refused"]) == (2, 2)
    assert "not for a sensor" in answer["refusals"][0]["why"]
    assert "say which sensor" in answer["refusals"][1]["why"]
    assert (first.readings.get().temp_f, second.readings.get().temp_f) == (100, 90)
    assert not other.readings.exists()


def test_nothing_more_is_taken_of_a_retired_sensor(sensor, token):
    sensor.retired_on = NOW.date()
    sensor.save()
    answer = post(reading(), token)
    assert answer.status_code == 422
    assert "is retired" in why(answer)[0]


def test_when_something_breaks_half_way_nothing_of_the_message_is_kept(yard, monkeypatch):
    first, second = make_sensor("A"), make_sensor("B")
    token = reading_token_make(name="Hub", sensors=[first, second], by=None)[1]
    average, seen = readings_service._average, []

    def breaks(sensor, *rest):
        seen.append(sensor)
        if len(seen) == 2:
            raise RuntimeError("the disk is full")
        return average(sensor, *rest)

    monkeypatch.setattr(readings_service, "_average", breaks)
    body = [{"sensor": one.code, **reading()} for one in (first, second)]
    with pytest.raises(RuntimeError):
        post(body, token)
    assert len(seen) == 2
    assert not Reading.objects.exists()
    assert not SensorDay.objects.exists()


def test_celsius_sent_as_fahrenheit_is_told_and_stays_told(sensor, token):
    post(reading(3, temp_f=118.0), token)
    answer = post(reading(2, temp_f=47.5), token).json()  # 118 °F is 47.8 °C
    assert answer["taken"] == 1
    assert "if °C was sent as °F" in answer["notes"][0]
    post(reading(1, temp_f=47.6), token)
    assert "if °C was sent as °F" in ReadingToken.objects.get().last_told
    assert post(reading(0, temp_f=40.0), token).json()["notes"] == []


def test_fahrenheit_sent_as_celsius_is_told_too(sensor, token):
    post(reading(3, temp_f=118.0), token)
    assert "if °F was sent as °C" in post(reading(2, temp_c=118.0), token).json()["notes"][0]


def test_the_first_reading_of_the_yards_own_sensor_is_held_against_the_season(yard):
    """Madison's normal of July is about 72 °F (NOAA normals 1991-2020); 22 as °F is what °C would be."""
    outdoors = make_sensor("Outdoors", is_outdoor=True)
    token = reading_token_make(name="Post", sensors=[outdoors], by=None)[1]
    answer = post({"time": "2025-07-15T15:00:00Z", "temp_f": 22.0}, token).json()
    assert "if °C was sent as °F" in answer["notes"][0]


def test_humidity_sent_as_a_share_is_told(sensor, token):
    answer = post([reading(n, temp_f=90, rh_pct=0.6) for n in range(3)], token).json()
    assert "send percent" in answer["notes"][0]


def test_last_use_is_noted_on_the_token_and_its_secret_is_nowhere(sensor, token, owner_client):
    post(reading(), token)
    row = ReadingToken.objects.get()
    assert row.last_used_at == NOW
    assert token not in str(ReadingToken.objects.values().get())
    assert token not in str(list(History.objects.values()))


def test_a_late_whole_day_makes_estimates_of_the_bays_wood_old_but_a_reading_of_today_does_not(yard, monkeypatch):
    sensor = make_sensor("In the shed")
    make_stack(bay=make_bay("Shed", "shed", air="sensor", sensor=sensor))
    token = reading_token_make(name="Post", sensors=[sensor], by=None)[1]
    Cohort.objects.update(stale_since=None)

    def no_model(*_, **__):
        raise AssertionError("a reading must not run the drying model")

    monkeypatch.setattr("yard.services.estimates.estimates_refresh", no_model)
    monkeypatch.setattr("yard.services.stale_estimates.estimates_refresh_stale", no_model)
    post([reading(n) for n in range(30)], token)
    assert not Cohort.objects.filter(stale_since__isnull=False).exists()
    post([reading(24 * 60 + 60 * n) for n in range(24)], token)
    assert Cohort.objects.filter(stale_since__isnull=False).exists()


def test_a_reading_a_minute_costs_the_same_few_queries_however_many_there_are(sensor, token):
    def cost(minutes):
        with CaptureQueriesContext(connection) as captured:
            assert post(reading(minutes), token).status_code == 200
        return len(captured)

    post(reading(120), token)
    few = cost(119)
    post([reading(n) for n in range(20, 100)], token)
    assert cost(10) == few
    assert few <= 25

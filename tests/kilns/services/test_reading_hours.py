"""Readings by the hour: what charts are drawn from follows from what is kept, whenever it arrives."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import OperationalError

from kilns.models import KilnSensor, ReadingHour
from kilns.services.reading_hours import buckets, buckets_now, hour_of, hours_catch_up, hours_refresh
from tests.kilns.make import make_kiln_sensor, make_running, read_every
from tests.make import make_sensor
from yard.services.readings import ReadingIn, readings_record

START = datetime(2026, 3, 2, 12, tzinfo=UTC)
CHICAGO, KATHMANDU = ZoneInfo("America/Chicago"), ZoneInfo("Asia/Kathmandu")  # the second is 5 h 45 min off


def refresh(sensor, zone=CHICAGO):
    return hours_refresh(sensor_ids=[sensor.pk], first=date(2026, 3, 1), last=date(2026, 3, 5), zone=zone)


def hours(sensor):
    return {one.hour: one for one in ReadingHour.objects.filter(sensor=sensor)}


def test_lowest_highest_and_mean_of_an_hour_are_those_of_its_readings(yard):
    sensor = make_sensor()
    temps = (100.0, 104.0, 111.0)
    rows = [ReadingIn(at=START + timedelta(minutes=20 * n), temp_f=one) for n, one in enumerate(temps)]
    readings_record(sensor=sensor, rows=rows)
    assert refresh(sensor) == 1
    one = hours(sensor)[hour_of(START)]
    assert (one.temp_low_f, one.temp_high_f, one.temp_mean_f, one.readings) == (100.0, 111.0, 105.0, 3)
    assert (one.rh_mean_pct, one.core_high_f) == (None, None)


def test_what_has_not_changed_is_not_made_again_and_takes_one_query(yard, django_assert_num_queries):
    sensor = make_sensor()
    read_every(sensor, START, START + timedelta(days=2), temp_f=100.0)
    assert refresh(sensor) == 3
    with django_assert_num_queries(1):
        assert refresh(sensor) == 0


def test_a_late_reading_and_a_repeated_one_come_right(yard):
    sensor = make_sensor()
    read_every(sensor, START, START + timedelta(hours=3), temp_f=100.0)
    refresh(sensor)
    late = ReadingIn(at=START + timedelta(minutes=3), temp_f=140.0)
    readings_record(sensor=sensor, rows=[late])
    assert refresh(sensor) == 1
    assert hours(sensor)[hour_of(START)].temp_high_f == 140.0
    readings_record(sensor=sensor, rows=[late])
    assert refresh(sensor) == 0
    assert hours(sensor)[hour_of(START)].readings == 7


@pytest.mark.parametrize("zone", [CHICAGO, KATHMANDU], ids=str)
def test_no_reading_is_lost_where_the_day_begins_between_two_hours(yard, zone):
    yard.time_zone = str(zone)
    yard.save()
    sensor = make_sensor()
    read_every(sensor, START, START + timedelta(days=2), temp_f=100.0)
    refresh(sensor, zone)
    assert sum(one.readings for one in hours(sensor).values()) == 2 * 144 + 1
    assert refresh(sensor, zone) == 0


def test_a_database_that_is_busy_writing_leaves_the_chart_as_it_was(yard, monkeypatch):
    sensor = make_sensor()
    read_every(sensor, START, START + timedelta(hours=3), temp_f=100.0)

    def busy(*_):
        raise OperationalError("database is locked")

    monkeypatch.setattr("kilns.services.reading_hours._hours", busy)
    assert refresh(sensor) == 0
    monkeypatch.undo()
    assert refresh(sensor) == 1


@pytest.mark.parametrize("hours_each", [1, 5])
def test_who_looks_before_the_hours_are_made_sees_the_same_and_writes_nothing(yard, hours_each):
    """A late reading, a day begun, another sensor whose hours are made: as if all had been made anew."""
    sensor, made = make_sensor("Late"), make_sensor("Made")
    for one in (sensor, made):
        read_every(one, START, START + timedelta(days=3), minutes=20, temp_f=lambda gone: 90 + gone % 70, rh_pct=40.0)
        refresh(one)
    readings_record(sensor=sensor, rows=[ReadingIn(at=START + timedelta(days=1, minutes=3), temp_f=140.0)])
    read_every(sensor, START + timedelta(days=3, hours=1), START + timedelta(days=3, hours=6), core_f=120.0)
    asked = {"sensor_ids": [sensor.pk, made.pk], "first": hour_of(START) + 2, "last": hour_of(START) + 80}
    before = ReadingHour.objects.count()
    live = buckets_now(**asked, hours_each=hours_each, zone=CHICAGO)
    assert ReadingHour.objects.count() == before
    refresh(sensor)
    assert live == [pytest.approx(row) for row in buckets(**asked, hours_each=hours_each)]


def test_the_hours_of_days_that_are_over_are_made_when_readings_come_in(yard, django_capture_on_commit_callbacks):
    kiln = make_running().kiln
    air, other = make_kiln_sensor(kiln), make_sensor("Of no kiln")
    for sensor in (air, other):
        with django_capture_on_commit_callbacks(execute=True):
            read_every(sensor, START, START + timedelta(days=2), temp_f=100.0)
    assert sum(one.readings for one in hours(air).values()) == 2 * 144 + 1
    assert hours(other) == {}
    KilnSensor.objects.create(kiln=kiln, sensor=other, place="air_in", since=START)
    assert (hours_catch_up(), hours_catch_up()) == (3, 0)


def test_buckets_hold_all_hours_between_two_and_their_extremes(yard):
    sensor = make_sensor()
    read_every(sensor, START, START + timedelta(hours=11, minutes=50), temp_f=lambda gone: 90 + gone / 60)
    refresh(sensor)
    first = hour_of(START)
    found = buckets(sensor_ids=[sensor.pk], first=first, last=first + 11, hours_each=6)
    assert [one["count"] for one in found] == [36, 36]
    assert found[0]["bucket"] == first // 6
    assert found[0]["temp_low_f"] == 90.0
    assert found[1]["temp_high_f"] == pytest.approx(90 + 710 / 60)

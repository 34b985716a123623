"""Silent sensors: told once while a run needs them, and never where nobody had to speak."""

from datetime import timedelta

import pytest

from kilns.models import Alarm, KilnSensor
from kilns.services.alarms import alarms_check_all
from tests.kilns.make import make_kiln
from tests.kilns.services.test_alarms import BUILD, NOW, check, later, put, read, run_of
from yard.models import Reading


@pytest.fixture
def kiln(yard):
    return make_kiln("Box", build=BUILD)


@pytest.fixture
def air(kiln):
    return put(kiln, "air_in")


def test_a_silent_sensor_is_told_when_a_run_goes_on_and_not_before(kiln, air):
    put(kiln, "outdoor", silent_after_min=600)
    read(air, NOW - timedelta(minutes=61), temp_f=60.0)
    read(KilnSensor.objects.get(place="outdoor"), NOW - timedelta(hours=3), temp_f=20.0)
    assert check(kiln) == []
    run_of(kiln)
    assert check(kiln) == [("silent", "danger")]
    alarm = Alarm.objects.get()
    assert "silent for 61 min" in alarm.words
    read(air, later(1), temp_f=60.0)
    assert check(kiln, later(1)) == []


def test_a_sensor_whose_readings_come_by_file_has_a_day(kiln, air):
    run_of(kiln)
    air.sensor.reading_tokens.all().delete()
    read(air, NOW - timedelta(hours=23), temp_f=60.0)
    assert check(kiln) == []
    assert check(kiln, later(2 * 60)) == [("silent", "caution")]
    assert "come by file: read the newest in" in Alarm.objects.get().what_to_do


def test_a_silent_sensor_is_found_by_the_watch_alone(kiln, air, monkeypatch):
    run_of(kiln)
    assert alarms_check_all() == 1
    assert Alarm.objects.get().kind == "silent"


def test_silence_before_the_run_began_is_nobodys_fault(kiln, air):
    read(air, NOW - timedelta(days=20), temp_f=60.0)
    run_of(kiln, began_at=NOW - timedelta(minutes=30))
    assert check(kiln) == []
    assert check(kiln, later(31)) == [("silent", "danger")]
    assert "silent for 20 days" in Alarm.objects.get().words


def test_a_sensor_that_never_spoke_is_told_as_that_and_one_taken_out_or_retired_is_not_missed(kiln, air):
    """The run has let the bay's air be told by the sensor: that stays so when it is taken out."""
    kiln.bay.air, kiln.bay.sensor = "sensor", air.sensor
    kiln.bay.save()
    run_of(kiln)
    assert check(kiln) == [("silent", "danger")]
    assert "has told nothing yet" in Alarm.objects.get().words
    KilnSensor.objects.update(until=NOW)
    assert check(kiln, later(1)) == []
    KilnSensor.objects.update(until=None)
    air.sensor.retired_on = NOW.date()
    air.sensor.save()
    assert check(kiln, later(2)) == []


def test_the_bays_sensor_that_went_to_another_kiln_tells_of_that_one_alone(kiln, air):
    kiln.bay.air, kiln.bay.sensor = "sensor", air.sensor
    kiln.bay.save()
    other = make_kiln("Other", build=BUILD)
    KilnSensor.objects.update(until=NOW - timedelta(days=1))
    KilnSensor.objects.create(kiln=other, sensor=air.sensor, place="air_in", since=NOW - timedelta(days=1))
    read(air, temp_f=151.0)
    assert check(kiln) == []
    assert check(other) == [("hot-fan", "danger")]


def test_a_sensor_that_speaks_once_an_hour_is_not_silent_every_hour(kiln, air):
    run_of(kiln)
    for n in range(12):
        Reading.objects.create(sensor=air.sensor, at=NOW - timedelta(hours=n), temp_f=60.0)
    assert check(kiln, later(65)) == []
    assert check(kiln, later(121)) == [("silent", "danger")]
    assert "it may be for 2 h" in Alarm.objects.get().words

"""Sensors, and the files that they give."""

from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
import pytest
from django.core.exceptions import ValidationError

from tests.make import make_bay, make_sensor, make_stack
from yard.models import Cohort, Reading, Sensor, SensorDay
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.readings import ReadingIn, readings_record
from yard.services.sensor_files import SensorChoices, sensor_choices, sensor_file_keep, sensor_file_preview
from yard.services.sensors import sensor_add, sensor_change, sensor_retire
from yard.wood.weather.weather_file import CannotReadWeather

PLAIN = b"Time,Temp (F),Humidity\n2025-07-01 12:00,80.0,55\n2025-07-01 13:00,82.0,50\n"


def test_a_sensor_is_added_once_by_its_name(yard):
    sensor_add(by=None, name="Shed", kind="air")
    with pytest.raises(ValidationError) as refused:
        sensor_add(by=None, name=" SHED ", kind="air")
    assert "name" in refused.value.message_dict


def test_only_one_sensor_stands_for_the_weather_and_a_probe_in_wood_never_does(yard):
    sensor_add(by=None, name="Post", kind="air", is_outdoor=True)
    with pytest.raises(ValidationError, match="Post stands for the yard's weather already"):
        sensor_add(by=None, name="Wall", kind="air", is_outdoor=True)
    with pytest.raises(ValidationError):
        sensor_add(by=None, name="Probe", kind="core", is_outdoor=True)
    assert Sensor.objects.count() == 1


def test_calling_a_sensor_outdoor_makes_its_days_weather_and_estimates_out_of_date(yard):
    cohort = make_stack().cohorts.get()
    sensor = make_sensor("Post")
    SensorDay.objects.create(sensor=sensor, day=date(2025, 7, 1), temp_f=70, rh_pct=50, readings=24, hours=24)
    Cohort.objects.update(stale_since=None)
    sensor_change(sensor=sensor, by=None, version=1, is_outdoor=True)
    assert Cohort.objects.get(pk=cohort.pk).stale_since is not None


def test_two_people_changing_one_sensor_notice_each_other(yard):
    sensor = make_sensor("Post")
    sensor_change(sensor=sensor, by=None, version=1, note="north wall")
    with pytest.raises(ChangedMeanwhile):
        sensor_change(sensor=sensor, by=None, version=1, note="south wall")


def test_a_sensor_that_tells_a_bays_air_is_not_retired(yard):
    sensor = make_sensor("In the shed")
    make_bay("Shed", "shed", air="sensor", sensor=sensor)
    with pytest.raises(ValidationError, match="The air of Shed is told by In the shed"):
        sensor_retire(sensor=sensor, by=None)


def preview(sensor, yard, content, **choices):
    found = sensor_choices(sensor, content)
    chosen = replace(found, **choices)
    return sensor_file_preview(sensor=sensor, content=content, choices=chosen, yard=yard), chosen


def test_a_file_is_guessed_looked_at_and_kept_and_the_same_again_adds_nothing(yard):
    sensor = make_sensor("Post")
    found, chosen = preview(sensor, yard, PLAIN)
    assert (found.rows, chosen.temp, chosen.rh, chosen.temp_unit) == (2, "Temp (F)", "Humidity", "F")
    assert not Reading.objects.exists()
    assert sensor_file_keep(sensor=sensor, preview=found, choices=chosen).new == 2
    assert sensor_file_keep(sensor=sensor, preview=found, choices=chosen).known == 2
    assert Reading.objects.order_by("at").first().temp_f == pytest.approx(80.0)


def test_bare_times_are_the_yards_standard_time_or_its_clock_with_summer_time(yard):
    sensor = make_sensor("Post")
    standard, _ = preview(sensor, yard, PLAIN)
    assert standard.first_at == datetime(2025, 7, 1, 18, tzinfo=UTC)
    wall, _ = preview(sensor, yard, PLAIN, summer_time=True)
    assert wall.first_at == datetime(2025, 7, 1, 17, tzinfo=UTC)


def test_the_choices_are_remembered_for_files_with_the_same_columns(yard):
    sensor = make_sensor("Post")
    odd = b"A;B;C\n01.07.2025 12:00;26,7;55\n02.07.2025 12:00;27,1;50\n"
    assert sensor_choices(sensor, odd) == SensorChoices()
    chosen = SensorChoices(time="A", temp="B", rh="C", temp_unit="C", date_order="dmy", decimal_comma=True)
    found = sensor_file_preview(sensor=sensor, content=odd, choices=chosen, yard=yard)
    sensor_file_keep(sensor=sensor, preview=found, choices=chosen)
    again = Sensor.objects.get(pk=sensor.pk)
    assert sensor_choices(again, odd) == chosen
    assert sensor_choices(again, PLAIN) != chosen
    assert Reading.objects.order_by("at").first().temp_f == pytest.approx(80.06)


def test_without_a_unit_nothing_is_read(yard):
    sensor = make_sensor("Post")
    with pytest.raises(CannotReadWeather, match="°C or °F"):
        preview(sensor, yard, b"Time,Temperature,RH\n2025-07-01 12:00,26,55\n")


def test_celsius_read_as_fahrenheit_is_asked_about(yard):
    rows = "".join(f"2025-07-{d:02d} 12:00,26.7,55\n" for d in range(1, 20))
    found, _ = preview(make_sensor("Post"), yard, b"Time,Temperature,RH\n" + rows.encode(), temp_unit="F")
    assert "Is the unit right?" in found.odd
    right, _ = preview(make_sensor("Post 2"), yard, b"Time,Temperature,RH\n" + rows.encode(), temp_unit="C")
    assert right.odd == ""


def test_times_to_come_are_refused_with_what_to_look_at(yard):
    future = b"Time,Temp (F),RH\n05/12/2090 12:00,50,60\n"
    with pytest.raises(CannotReadWeather, match="lie in the future"):
        preview(make_sensor("Post"), yard, future)


def test_two_bulbs_come_from_two_columns_and_give_the_humidity(yard):
    sensor = make_sensor("Kiln", kind="wet_bulb")
    content = b"Time,Dry (F),Wet (F)\n2025-07-01 12:00,120,100\n2025-07-01 13:00,,101\n2025-07-01 14:00,121,\n"
    chosen = SensorChoices(time="Time", temp="Dry (F)", wet_bulb="Wet (F)", temp_unit="F")
    found = sensor_file_preview(sensor=sensor, content=content, choices=chosen, yard=yard)
    assert found.rows == 3
    sensor_file_keep(sensor=sensor, preview=found, choices=chosen)
    rows = list(Reading.objects.order_by("at").values_list("temp_f", "wet_bulb_f", "rh_pct"))
    assert rows[0] == (pytest.approx(120.0), pytest.approx(100.0), None)
    assert rows[1] == (None, pytest.approx(101.0), None)
    # AH-188 Table 1-6: 120 °F dry bulb and 20 °F depression are 49% (memory medium-high).
    assert SensorDay.objects.get().rh_pct == pytest.approx(49, abs=1.5)


def test_a_probe_in_the_wood_keeps_its_own_column(yard):
    sensor = make_sensor("Probe", kind="core")
    found, chosen = preview(sensor, yard, b"Time,Core temp (F)\n2025-07-01 12:00,133.5\n")
    sensor_file_keep(sensor=sensor, preview=found, choices=chosen)
    reading = Reading.objects.get()
    assert (reading.core_f, reading.temp_f) == (pytest.approx(133.5), None)
    assert SensorDay.objects.get().temp_f is None


def test_broken_rows_are_left_out_and_named(yard):
    content = PLAIN + b"2025-07-01 14:00,warm,50\n2025-07-01 15:00,81,50\n2025-07-01 16:00,900,50\n"
    found, _ = preview(make_sensor("Post"), yard, content)
    words = " ".join(found.warnings)
    assert "line 4" in words
    assert "outside" in words
    assert np.isfinite(found.columns.temp_f).sum() == 3


def test_readings_and_files_of_one_sensor_are_one_row_a_time(yard):
    sensor = make_sensor("Post")
    readings_record(sensor=sensor, rows=[ReadingIn(datetime(2025, 7, 1, 18, tzinfo=UTC), temp_f=80.0)])
    found, chosen = preview(sensor, yard, PLAIN)
    assert sensor_file_keep(sensor=sensor, preview=found, choices=chosen).new == 1

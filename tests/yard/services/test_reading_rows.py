"""Readings by the thousand: kept as those that come one by one, each once, on either database."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from tests.make import make_sensor
from yard.models import Reading, SensorDay
from yard.services import reading_rows
from yard.services.reading_columns import ReadingColumns
from yard.services.readings import ReadingIn, readings_import, readings_record

START = np.datetime64("2025-06-01T17:00", "us")
MANY = 1200  # enough to be copied


@pytest.fixture
def sensor(yard):
    return make_sensor("Shed")


def columns(count, step_s=60, temp_f=60.0, first=0):
    """So many readings, every third without humidity."""
    place = np.arange(first, first + count)
    humid = np.where(place % 3 == 0, np.nan, 50.0 + place % 7)
    none = np.full(count, np.nan)
    at = START + place * np.timedelta64(int(step_s * 1e6), "us")
    return ReadingColumns(at, temp_f + place % 11, humid, none, none)


def test_thousands_are_kept_as_the_same_rows_that_single_ones_make(sensor):
    other = make_sensor("One by one")
    many = columns(MANY)
    readings_import(sensor=sensor, columns=many)
    rows = [
        ReadingIn(at.replace(tzinfo=UTC), *measures)
        for at, *measures in zip(many.at_utc.tolist(), *many.plain(), strict=True)
    ]
    for start in range(0, MANY, 100):
        readings_record(sensor=other, rows=rows[start : start + 100])

    def kept(of):
        return list(of.readings.order_by("at").values_list("at", *ReadingColumns.MEASURES))

    assert kept(sensor) == kept(other)
    assert len(kept(sensor)) == MANY
    assert kept(sensor)[0][2] is None


def test_a_file_that_overlaps_what_is_known_adds_only_what_is_new(sensor):
    readings_record(sensor=sensor, rows=[ReadingIn(datetime(2025, 6, 1, 17, 5, tzinfo=UTC), temp_f=1.0)])
    taken = readings_import(sensor=sensor, columns=columns(MANY))
    assert (taken.new, taken.known, taken.other) == (MANY - 1, 1, 1)
    again = readings_import(sensor=sensor, columns=columns(MANY + 10))
    assert (again.new, again.known, again.other) == (10, MANY, 1)
    assert Reading.objects.get(at=datetime(2025, 6, 1, 17, 5, tzinfo=UTC)).temp_f == 1.0
    assert sum(SensorDay.objects.values_list("readings", flat=True)) == Reading.objects.count() == MANY + 10


def test_fractions_of_a_second_are_kept_and_known_again(sensor):
    quick = columns(MANY, step_s=0.25)
    assert readings_import(sensor=sensor, columns=quick).new == MANY
    assert readings_import(sensor=sensor, columns=quick).new == 0
    second = Reading.objects.order_by("at")[1].at
    assert second == datetime(2025, 6, 1, 17, tzinfo=UTC) + timedelta(milliseconds=250)


def test_several_files_in_one_transaction_are_all_kept(sensor):
    assert readings_import(sensor=sensor, columns=columns(MANY)).new == MANY
    assert readings_import(sensor=sensor, columns=columns(MANY, first=MANY)).new == MANY


def test_parts_of_a_large_file_add_up(sensor, monkeypatch):
    monkeypatch.setattr(reading_rows, "AT_A_TIME", 500)
    assert readings_import(sensor=sensor, columns=columns(MANY)).new == MANY
    assert readings_import(sensor=sensor, columns=columns(MANY)).new == 0


def test_a_sensors_readings_are_not_another_sensors(sensor):
    readings_import(sensor=sensor, columns=columns(MANY))
    assert readings_import(sensor=make_sensor("Second"), columns=columns(MANY)).new == MANY

"""Sensor readings: kept once each, and the days they touch averaged anew."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from django.utils import timezone

from tests.make import make_bay, make_sensor, make_stack, make_yard
from yard.models import Cohort, Reading, SensorDay
from yard.services.reading_columns import ReadingColumns
from yard.services.readings import ReadingIn, readings_import, readings_record, sensor_days_rebuild

NOON = datetime(2025, 6, 1, 17, tzinfo=UTC)  # noon on the clock of Chicago


@pytest.fixture
def sensor(yard):
    return make_sensor("Shed")


def hours(start, count, temp_f=60.0, rh_pct=50.0):
    return [ReadingIn(start + timedelta(hours=n), temp_f=temp_f, rh_pct=rh_pct) for n in range(count)]


def test_the_same_reading_twice_is_one_and_the_batch_says_so(sensor):
    first = readings_record(sensor=sensor, rows=hours(NOON, 5))
    again = readings_record(sensor=sensor, rows=hours(NOON, 7))
    assert (first.new, first.known) == (5, 0)
    assert (again.new, again.known) == (2, 5)
    assert Reading.objects.count() == 7


def test_of_the_same_time_within_one_batch_the_first_counts(sensor):
    taken = readings_record(sensor=sensor, rows=[ReadingIn(NOON, temp_f=50.0), ReadingIn(NOON, temp_f=90.0)])
    assert (taken.new, taken.known) == (1, 1)
    assert Reading.objects.get().temp_f == 50.0
    assert SensorDay.objects.get().temp_f == 50.0


def test_out_of_order_readings_give_the_same_days(sensor):
    readings_record(sensor=sensor, rows=reversed(hours(NOON, 30)))
    assert list(SensorDay.objects.order_by("day").values_list("day", "readings", "hours")) == [
        (date(2025, 6, 1), 12, 12),
        (date(2025, 6, 2), 18, 18),
    ]


def test_days_are_days_of_the_yards_clock_and_end_at_its_midnight(sensor):
    before_midnight = datetime(2025, 6, 2, 4, 59, tzinfo=UTC)
    readings_record(sensor=sensor, rows=[ReadingIn(before_midnight, temp_f=1.0)])
    readings_record(sensor=sensor, rows=[ReadingIn(before_midnight + timedelta(minutes=1), temp_f=2.0)])
    assert dict(SensorDay.objects.values_list("day", "temp_f")) == {date(2025, 6, 1): 1.0, date(2025, 6, 2): 2.0}


def test_the_day_the_clocks_go_forward_has_twenty_three_hours(sensor):
    midnight = datetime(2025, 3, 9, 6, tzinfo=UTC)
    readings_record(sensor=sensor, rows=hours(midnight, 24))
    assert SensorDay.objects.get(day=date(2025, 3, 9)).hours == 23
    assert SensorDay.objects.get(day=date(2025, 3, 10)).hours == 1


def test_a_busy_hour_does_not_weigh_more_than_a_quiet_one(sensor):
    busy = [ReadingIn(NOON + timedelta(minutes=n), temp_f=90.0) for n in range(50)]
    readings_record(sensor=sensor, rows=[*busy, ReadingIn(NOON + timedelta(hours=1), temp_f=50.0)])
    assert SensorDay.objects.get().temp_f == pytest.approx(70.0)


def test_a_day_that_gets_more_readings_later_is_averaged_over_all_of_them(sensor):
    readings_record(sensor=sensor, rows=hours(NOON, 2, temp_f=40.0))
    readings_record(sensor=sensor, rows=hours(NOON + timedelta(hours=2), 2, temp_f=80.0))
    day = SensorDay.objects.get()
    assert (day.temp_f, day.readings, day.hours) == (60.0, 4, 4)


def test_humidity_comes_from_the_two_bulbs_at_the_yards_height(sensor):
    readings_record(sensor=sensor, rows=[ReadingIn(NOON, temp_f=80.0, wet_bulb_f=70.0)])
    low = SensorDay.objects.get().rh_pct
    # AH-188 Table 1-6, 80 °F dry bulb and 10 °F depression: 61% (memory medium-high), to the table's ±1.2.
    assert low == pytest.approx(61, abs=1.2)
    make_yard(elevation_ft=6000.0)
    sensor_days_rebuild(sensor=sensor)
    assert SensorDay.objects.get().rh_pct > low + 0.5


def test_a_wet_bulb_below_freezing_gives_no_humidity_but_keeps_the_temperature(sensor):
    cold = ReadingIn(NOON, temp_f=31.0, wet_bulb_f=29.0)
    rows = [cold, ReadingIn(NOON + timedelta(hours=1), temp_f=60.0, wet_bulb_f=55.0)]
    readings_record(sensor=sensor, rows=rows)
    day = SensorDay.objects.get()
    assert day.temp_f == pytest.approx(45.5)
    assert 70 < day.rh_pct < 78, "the second hour alone"


def test_nothing_is_an_empty_batch(sensor):
    assert readings_record(sensor=sensor, rows=[]).new == 0


def test_thousands_come_in_as_columns_and_make_the_same_days_as_one_by_one(sensor):
    count = 24 * 40
    start = np.datetime64("2025-05-01T05:00", "us")
    none = np.full(count, np.nan)
    temps = 50 + 10 * np.sin(np.arange(count) / 7)
    columns = ReadingColumns(start + np.arange(count) * np.timedelta64(1, "h"), temps, np.full(count, 60.0), none, none)
    assert readings_import(sensor=sensor, columns=columns).new == count
    by_columns = list(SensorDay.objects.order_by("day").values_list("day", "temp_f", "rh_pct", "hours"))
    assert len(by_columns) == 40
    assert by_columns[0][1] == pytest.approx(float(temps[:24].mean()))
    assert sensor_days_rebuild(sensor=sensor) == 40
    assert [row[1] for row in SensorDay.objects.order_by("day").values_list("day", "temp_f")] == pytest.approx(
        [row[1] for row in by_columns]
    )


def test_a_whole_day_of_the_yards_sensor_makes_estimates_of_standing_wood_out_of_date(yard):
    cohort = make_stack(at=datetime(2025, 3, 10, 15, tzinfo=UTC)).cohorts.get()
    outdoors = make_sensor("Outdoors", is_outdoor=True)
    Cohort.objects.update(stale_since=None)
    readings_record(sensor=outdoors, rows=hours(NOON, 3))
    assert Cohort.objects.get(pk=cohort.pk).stale_since is None, "three hours are no day"
    readings_record(sensor=outdoors, rows=hours(datetime(2025, 6, 2, 5, tzinfo=UTC), 24))
    assert Cohort.objects.get(pk=cohort.pk).stale_since is not None


def test_todays_readings_do_not_make_estimates_out_of_date_all_day_long(yard):
    make_stack(at=datetime(2025, 3, 10, 15, tzinfo=UTC))
    outdoors = make_sensor("Outdoors", is_outdoor=True)
    Cohort.objects.update(stale_since=None)
    midnight = timezone.now().astimezone(UTC).replace(hour=6, minute=0, second=0, microsecond=0)
    readings_record(sensor=outdoors, rows=hours(midnight + timedelta(days=1), 14))
    assert not Cohort.objects.filter(stale_since__isnull=False).exists()


def test_a_bays_sensor_touches_only_the_wood_that_stood_there_then(yard):
    sensor = make_sensor("In the shed")
    inside = make_stack(bay=make_bay("Shed", "shed", air="sensor", sensor=sensor)).cohorts.get()
    outside = make_stack().cohorts.get()
    Cohort.objects.update(stale_since=None)
    readings_record(sensor=sensor, rows=hours(datetime(2025, 6, 2, 5, tzinfo=UTC), 24))
    assert set(Cohort.objects.filter(stale_since__isnull=False)) == {inside}
    Cohort.objects.update(stale_since=None)
    readings_record(sensor=sensor, rows=hours(datetime(2025, 1, 2, 6, tzinfo=UTC), 24))
    assert outside not in Cohort.objects.filter(stale_since__isnull=False)
    assert not Cohort.objects.filter(stale_since__isnull=False).exists(), "the stack was built in March"

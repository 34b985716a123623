"""Age of logs: warm days press, cold ones do not."""

from datetime import date

import pytest

from tests.make import make_log, make_yard
from yard.models import WeatherDay, WeatherFile
from yard.services.log_cautions import log_cautions

pytestmark = pytest.mark.django_db


def caution(log, today):
    return log_cautions([log], yard=make_yard(), today=today).get(log.pk)


def test_a_log_felled_in_december_is_not_pressed_in_february_at_madison():
    log = make_log(felled_on=date(2025, 12, 1), arrived_on=date(2025, 12, 3))
    assert caution(log, date(2026, 2, 20)) is None


def test_the_same_weeks_in_summer_press():
    log = make_log(felled_on=date(2025, 6, 1), arrived_on=date(2025, 6, 3))
    found = caution(log, date(2025, 7, 5))
    assert (found.level, found.warm_days) == ("soon", 35)
    assert caution(log, date(2025, 8, 20)).level == "late"
    assert "Common practice, no source" in found.why


def test_light_sapwood_is_pressed_earlier_than_oak():
    day = date(2025, 6, 20)
    oak = make_log(species_key="oak-white", felled_on=date(2025, 6, 1), arrived_on=date(2025, 6, 3))
    pine = make_log(species_key="pine-eastern-white", felled_on=date(2025, 6, 1), arrived_on=date(2025, 6, 3))
    assert caution(oak, day) is None
    assert caution(pine, day).level == "soon"


def test_sealed_ends_give_half_as_long_again():
    when = {"felled_on": date(2025, 6, 1), "arrived_on": date(2025, 6, 3)}
    log = make_log(ends_sealed_on=date(2025, 6, 3), **when)
    assert caution(log, date(2025, 7, 5)) is None
    assert caution(log, date(2025, 7, 20)).level == "soon"


def test_an_unknown_felling_day_counts_from_arrival_and_says_so():
    log = make_log(felled_on=None, arrived_on=date(2025, 6, 1))
    assert "felling day not known" in caution(log, date(2025, 7, 20)).why


def test_the_yards_own_weather_counts_before_the_usual_climate():
    log = make_log(felled_on=date(2025, 6, 1), arrived_on=date(2025, 6, 1))
    file = WeatherFile.objects.create(name="june.csv")
    for day in range(1, 31):
        WeatherDay.objects.create(day=date(2025, 6, day), temp_f=45, rh_pct=70, file=file)
    assert caution(log, date(2025, 7, 5)) is None


def test_a_yard_without_a_place_counts_april_to_october():
    log = make_log(felled_on=date(2025, 6, 1), arrived_on=date(2025, 6, 1))
    yard = make_yard(lat_deg=None, lon_deg=None)
    found = log_cautions([log], yard=yard, today=date(2025, 7, 5))[log.pk]
    assert "April to October" in found.why


def test_a_sawn_log_is_not_pressed(django_assert_num_queries):
    log = make_log(felled_on=date(2024, 6, 1), arrived_on=date(2024, 6, 1))
    log.state = "sawn"
    yard = make_yard()
    with django_assert_num_queries(0):
        assert log_cautions([log], yard=yard, today=date(2025, 7, 5)) == {}


def test_thirty_logs_ask_the_database_no_more_often_than_one(django_assert_num_queries):
    yard = make_yard()
    logs = [make_log(felled_on=date(2025, 6, 1), arrived_on=date(2025, 6, 1)) for _ in range(30)]
    with django_assert_num_queries(2):
        log_cautions(logs[:1], yard=yard, today=date(2025, 7, 5))
    with django_assert_num_queries(2):
        log_cautions(logs, yard=yard, today=date(2025, 7, 5))

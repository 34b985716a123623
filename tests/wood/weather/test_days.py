"""From hours to days: enough hours, spread over the day, means before the EMC, days of standard time."""

from datetime import date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yard.wood.climate import city, daily_climate
from yard.wood.moisture import equilibrium_mc_pct
from yard.wood.ranges import OutsideRange
from yard.wood.weather.days import day_of, day_rows, fill_humidity, local_offset_h, monthly_from_days, typical_day_for
from yard.wood.weather.joining import joined
from yard.wood.weather.weather_file import CannotReadWeather, HourlyAir, WeatherFile, WeatherPlace

NAN = float("nan")


def _file(readings, basis="local standard", place=None):
    """A WeatherFile of (when, temp °F, humidity) readings."""
    when, temps, humidities = zip(*readings, strict=True)
    air = HourlyAir(
        np.array(when, dtype="datetime64[m]"), np.array(temps, float), np.array(humidities, float), "measured"
    )
    return WeatherFile("test", "test", place or WeatherPlace(), basis, air)


def _day(day, temps, humidities=None):
    begin = datetime(day.year, day.month, day.day)
    humidities = humidities or [60.0] * len(temps)
    return [(begin + timedelta(hours=h), t, rh) for h, (t, rh) in enumerate(zip(temps, humidities, strict=True))]


def test_the_emc_is_of_the_days_means_not_the_mean_of_hourly_emc():
    temps, humidities = [40.0] * 12 + [80.0] * 12, [95.0] * 12 + [30.0] * 12
    (day,) = day_rows(_file(_day(date(2024, 5, 1), temps, humidities)))
    assert (day.temp_f, day.rh_pct) == (60.0, 62.5)
    assert day.emc_pct == pytest.approx(equilibrium_mc_pct(60.0, 62.5))
    hourly = (equilibrium_mc_pct(40.0, 95.0) + equilibrium_mc_pct(80.0, 30.0)) / 2
    assert abs(hourly - day.emc_pct) > 2


def test_extra_reports_within_an_hour_do_not_weigh_more():
    readings = _day(date(2024, 5, 1), [50.0] * 24)
    storm = [(datetime(2024, 5, 1, 15, minute), 20.0, 100.0) for minute in range(5, 60, 5)]
    (day,) = day_rows(_file(readings + storm))
    hour_fifteen = (50.0 + 11 * 20.0) / 12
    assert day.temp_f == pytest.approx((23 * 50.0 + hour_fifteen) / 24)
    assert day.hours == 24


@pytest.mark.parametrize(("missing", "whole"), [(0, True), (6, True), (7, False), (24, False)])
def test_a_day_needs_three_quarters_of_its_hours(missing, whole):
    # Spread the missing hours so that no quarter of the day is empty.
    order = list(range(0, 24, 4)) + [1] + [h for h in range(24) if h % 4 and h != 1]
    gone = set(order[:missing])
    first = _day(date(2024, 5, 1), [NAN if h in gone else 50.0 for h in range(24)])
    day, full = day_rows(_file(first + _day(date(2024, 5, 2), [60.0] * 24)))
    assert full.temp_f == 60.0
    assert day.hours == 24 - missing
    if whole:
        assert day.temp_f == 50.0
        assert day.note == ""
    else:
        assert day.temp_f is None
        assert day.emc_pct is None
        assert f"only {24 - missing} of 24" in day.note


def test_a_day_without_its_afternoon_is_missing_even_with_enough_hours():
    temps = [NAN if 12 <= hour < 18 else 50.0 for hour in range(24)]
    day, _ = day_rows(_file(_day(date(2024, 5, 1), temps) + _day(date(2024, 5, 2), [60.0] * 24)))
    assert day.temp_f is None
    assert day.note == "no reading in a quarter of the day"


def test_the_share_of_hours_can_be_asked_for():
    temps = [50.0 if hour % 3 else NAN for hour in range(24)]
    file = _file(_day(date(2024, 5, 1), temps) + _day(date(2024, 5, 2), [60.0] * 24))
    assert day_rows(file)[0].temp_f is None
    assert day_rows(file, min_share=0.6)[0].temp_f == 50.0
    with pytest.raises(OutsideRange):
        day_rows(file, min_share=1.5)


def test_humidity_with_too_few_hours_leaves_the_temperature_alone():
    humidities = [NAN if hour % 2 else 60.0 for hour in range(24)]
    day, _ = day_rows(_file(_day(date(2024, 5, 1), [50.0] * 24, humidities) + _day(date(2024, 5, 2), [60.0] * 24)))
    assert day.temp_f == 50.0
    assert day.rh_pct is None
    assert day.emc_pct is None
    assert "humidity in 12 of 24" in day.note


def test_a_station_that_reports_every_three_hours_has_days():
    readings = [
        (datetime(2024, 5, 1) + timedelta(hours=3 * n), 50.0 + n % 8, 60.0) for n in range(8 * 30) if n not in (1, 9)
    ]
    days = day_rows(_file(readings))
    assert len(days) == 30
    assert days[0].hours == 7
    assert days[0].temp_f == pytest.approx((50 + 52 + 53 + 54 + 55 + 56 + 57) / 7)
    assert all(day.temp_f is not None for day in days)


def test_a_gap_shows_as_empty_days_that_say_so():
    days = day_rows(_file(_day(date(2024, 5, 1), [50.0] * 24) + _day(date(2024, 5, 4), [60.0] * 24)))
    assert [day.day.day for day in days] == [1, 2, 3, 4]
    assert [day.temp_f for day in days] == [50.0, None, None, 60.0]
    assert days[1].note == "no readings"


def test_utc_hours_are_brought_to_the_local_day():
    local = _day(date(2024, 5, 1), [10.0] * 24) + _day(date(2024, 5, 2), [90.0] * 24)
    in_utc = [(when + timedelta(hours=6), t, rh) for when, t, rh in local]
    days = day_rows(_file(in_utc, "UTC"), utc_offset_h=-6)
    assert [day.temp_f for day in days] == [10.0, 90.0]


def test_half_hour_offsets_work():
    readings = [(datetime(2024, 5, 1, 18, 30) + timedelta(hours=n), 50.0, 60.0) for n in range(24)]
    (day,) = day_rows(_file(readings, "UTC"), utc_offset_h=5.5)
    assert day.day == date(2024, 5, 2)
    assert day.hours == 24


def test_days_are_days_of_standard_time_also_when_the_clocks_change():
    """10 March 2024 had 23 hours on American walls and 24 in standard time."""
    readings = _day(date(2024, 3, 10), [float(hour) for hour in range(24)])
    in_utc = [(when + timedelta(hours=6), t, rh) for when, t, rh in readings]
    (day,) = day_rows(_file(in_utc, "UTC"), utc_offset_h=-6)
    assert day.hours == 24
    assert day.temp_f == 11.5


def test_a_utc_file_without_a_place_asks_for_the_hours_from_utc():
    file = _file(_day(date(2024, 5, 1), [50.0] * 24), "UTC")
    with pytest.raises(CannotReadWeather, match="hours from UTC"):
        day_rows(file)
    with pytest.raises(OutsideRange):
        day_rows(file, utc_offset_h=20)


@pytest.mark.parametrize(("lon", "hours"), [(-87.9, -6), (-71.0, -5), (10.7, 1), (151.2, 10), (0.0, 0)])
def test_a_utc_file_with_a_longitude_takes_the_nearest_whole_hour(lon, hours):
    file = _file(_day(date(2024, 5, 1), [50.0] * 24), "UTC", WeatherPlace(lon_deg=lon))
    assert local_offset_h(file) == hours


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.one_of(st.floats(-60, 120), st.just(NAN)), min_size=24 * 4, max_size=24 * 4),
    st.lists(st.one_of(st.floats(1, 100), st.just(NAN)), min_size=24 * 4, max_size=24 * 4),
)
def test_a_day_is_the_mean_of_its_hours_or_empty_never_anything_else(temps, humidities):
    begin = datetime(2024, 2, 27)
    readings = [(begin + timedelta(hours=n), t, rh) for n, (t, rh) in enumerate(zip(temps, humidities, strict=True))]
    for number, day in enumerate(day_rows(_file(readings))):
        here = [t for t in temps[number * 24 : number * 24 + 24] if t == t]
        wet = [rh for rh in humidities[number * 24 : number * 24 + 24] if rh == rh]
        if day.temp_f is not None:
            assert len(here) >= 4
            assert day.temp_f == pytest.approx(sum(here) / len(here))
        if day.rh_pct is not None:
            assert day.rh_pct == pytest.approx(sum(wet) / len(wet))
            assert day.emc_pct is not None
        else:
            assert day.emc_pct is None


def test_a_day_colder_than_the_emc_equation_goes_still_has_an_emc():
    assert day_of(date(2024, 1, 1), -70.0, 80.0, 24, "measured").emc_pct > 0


def test_missing_humidity_is_filled_from_the_climate_and_says_so():
    climate = city("WI-Madison").climate
    days = tuple(day_of(date(2024, 7, n), 70.0, 50.0 if n == 2 else None, 24, "measured") for n in (1, 2, 3))
    filled = fill_humidity(days, climate)
    normal = daily_climate(climate, date(2024, 7, 1), 3)
    assert filled[0].rh_pct == pytest.approx(float(normal.rh_pct[0]))
    assert filled[0].humidity_from == "climate"
    assert "usual humidity" in filled[0].note
    assert filled[0].emc_pct == pytest.approx(equilibrium_mc_pct(70.0, filled[0].rh_pct))
    assert filled[1] == days[1]
    assert fill_humidity((), climate) == ()


def test_an_empty_day_is_not_filled():
    empty = day_of(date(2024, 7, 1), None, None, 3, "none", "only 3 of 24 readings")
    assert fill_humidity((empty,), city("WI-Madison").climate) == (empty,)


def test_a_year_of_days_makes_a_monthly_climate_and_less_is_refused():
    year = [day_of(date(2023, 1, 1) + timedelta(days=n), 50.0, 60.0, 24, "measured") for n in range(365)]
    climate = monthly_from_days(tuple(year), "the yard's own sensor")
    assert climate.method == "weather file"
    assert climate.month(2).temp_f == 50.0
    assert climate.month(2).emc_pct == pytest.approx(equilibrium_mc_pct(50.0, 60.0))
    with pytest.raises(CannotReadWeather, match="Month 12"):
        monthly_from_days(tuple(year[:340]), "short")


def test_the_typical_year_serves_any_date_and_says_when_it_has_none():
    year = (day_of(date(2001, 2, 28), 20.0, 70.0, 24, "measured"),)
    assert typical_day_for(year, date(2024, 2, 29)).temp_f == 20.0
    assert typical_day_for(year, date(2023, 2, 28)).day == date(2023, 2, 28)
    with pytest.raises(KeyError):
        typical_day_for(year, date(2024, 3, 1))


def test_files_of_two_years_join_into_whole_days_at_the_turn_of_the_year():
    utc = [(datetime(2015, 12, 31, 6) + timedelta(hours=n), 30.0, 70.0) for n in range(24)]
    first, second = (_file(part, "UTC") for part in (utc[:18], utc[18:]))
    assert day_rows(first, -6)[0].temp_f is None
    (day,) = day_rows(joined([second, first]), -6)
    assert (day.day, day.hours) == (date(2015, 12, 31), 24)


def test_files_of_two_places_are_not_joined():
    one = _file(_day(date(2024, 5, 1), [50.0] * 24), place=WeatherPlace(station="A"))
    other = _file(_day(date(2024, 5, 2), [50.0] * 24), place=WeatherPlace(station="B"))
    with pytest.raises(CannotReadWeather, match="not files of one place"):
        joined([one, other])
    with pytest.raises(CannotReadWeather, match="no files"):
        joined([])

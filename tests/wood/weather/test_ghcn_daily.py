"""GHCN-Daily in its three shapes: flags, missing days, units, and the humidity it mostly lacks."""

from datetime import date

import pytest

from tests.wood.weather.made_files import dly
from yard.wood.climate import city
from yard.wood.weather.days import day_rows, fill_humidity
from yard.wood.weather.ghcn_daily import read_ghcn_daily
from yard.wood.weather.weather_file import CannotReadWeather

STATION = "USW00014837"


def _long(*rows):
    return "".join(f"{STATION},{row}\n" for row in rows).encode()


def test_a_fixed_width_month_gives_its_days_and_no_others():
    text = dly(STATION, 2023, 2, "TMAX", dict.fromkeys(range(1, 29), 100))
    text += dly(STATION, 2023, 2, "TMIN", dict.fromkeys(range(1, 29), 0))
    text += dly(STATION, 2023, 2, "PRCP", dict.fromkeys(range(1, 29), 55))
    file = read_ghcn_daily(text.encode())
    assert [day.day.day for day in file.days] == list(range(1, 29))
    assert all(day.temp_f == pytest.approx(41.0) for day in file.days)
    assert file.place.station == STATION
    assert any("middle of highest and lowest" in warning for warning in file.warnings)
    assert any("no humidity" in warning for warning in file.warnings)


def test_missing_and_failed_values_of_a_fixed_width_file_never_reach_a_day():
    tavg = dly(STATION, 2024, 2, "TAVG", {1: 50, 2: 60, 29: -100}, flags={2: " IW", 29: "  W"})
    rhav = dly(STATION, 2024, 2, "RHAV", {1: 70, 2: 75})
    days = read_ghcn_daily((tavg + rhav).encode()).days
    assert [(day.day, day.temp_f) for day in days] == [(date(2024, 2, 1), 41.0), (date(2024, 2, 29), 14.0)]
    assert days[0].rh_pct == 70
    assert days[1].rh_pct is None


def test_a_day_that_the_month_does_not_have_is_no_day():
    text = dly(STATION, 2023, 2, "TAVG", {28: 10, 29: 20, 30: 30})
    file = read_ghcn_daily((text + dly(STATION, 2023, 3, "TAVG", {1: 10, 2: 10})).encode())
    assert [day.day for day in file.days] == [date(2023, 2, 28), date(2023, 3, 1), date(2023, 3, 2)]
    assert any("day is out of range" in warning for warning in file.warnings)


def test_a_fixed_width_line_cut_off_keeps_the_days_before():
    text = dly(STATION, 2023, 1, "TAVG", dict.fromkeys(range(1, 32), 10))
    file = read_ghcn_daily(text[:150].encode())
    assert len(file.days) == 16
    assert "cut off at day 17" in file.warnings[-1]


def test_the_long_shape_prefers_the_mean_and_takes_measured_humidity():
    file = read_ghcn_daily(
        _long(
            "20240101,TMAX,100,,,W,2400",
            "20240101,TMIN,0,,,W,2400",
            "20240101,TAVG,30,H,,S,",
            "20240101,RHAV,66,,,W,",
            "20240101,ADPT,-150,,,W,",
            "20240101,SNWD,25,,,W,",
        )
    )
    (day,) = file.days
    assert day.temp_f == pytest.approx(37.4)
    assert (day.rh_pct, day.humidity_from) == (66.0, "measured")
    assert day.emc_pct is not None


def test_without_measured_humidity_the_dew_point_gives_it():
    (day,) = read_ghcn_daily(_long("20240101,TAVG,100,H,,S,", "20240101,ADPT,50,,,W,")).days
    assert day.humidity_from == "dew point"
    assert day.rh_pct == pytest.approx(71.0, abs=0.2)


def test_failed_checks_and_missing_codes_of_the_long_shape_are_left_out_and_counted():
    file = read_ghcn_daily(
        _long(
            "20240101,TAVG,100,,,W,",
            "20240101,RHAV,66,,G,W,",
            "20240102,TAVG,100,,S,W,",
            "20240102,TMAX,-9999,,,W,",
            "20240102,TMIN,10,,,W,",
        )
    )
    (day,) = file.days
    assert day.rh_pct is None
    assert any("2 figures failed" in warning for warning in file.warnings)


def test_a_day_whose_highest_is_under_its_lowest_is_left_out():
    file = read_ghcn_daily(_long("20240101,TMAX,0,,,W,", "20240101,TMIN,90,,,W,", "20240102,TAVG,0,,,W,"))
    assert [day.day.day for day in file.days] == [2]


def _wide(rows, attributes=True):
    names = '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME"'
    for element in ("TMAX", "TMIN", "RHAV"):
        names += f',"{element}"' + (f',"{element}_ATTRIBUTES"' if attributes else "")
    body = ""
    for stamp, *values in rows:
        body += f'"{STATION}","{stamp}","43.14","-89.35","264.0","MADISON, WI US"'
        for value in values:
            value, _, flag = value.partition("/")
            body += f',"{value}"' + (f',",{flag},W"' if attributes else "")
        body += "\n"
    return (names + "\n" + body).encode()


@pytest.mark.parametrize(
    ("highest", "lowest", "words"),
    [("150", "50", "tenths of °C"), ("15.0", "5.0", "°C"), ("59", "41", "°F")],
)
def test_the_unit_of_the_wide_shape_is_told_from_the_figures_and_said(highest, lowest, words):
    file = read_ghcn_daily(_wide([(f"2023-05-{day:02}", highest, lowest, "70") for day in range(1, 11)]))
    assert file.days[0].temp_f == pytest.approx(50.0)
    assert file.days[0].rh_pct == 70
    assert f"Temperatures were read as {words}." in file.warnings
    assert file.place.name == "MADISON, WI US"


def test_the_unit_of_the_wide_shape_can_be_given():
    file = read_ghcn_daily(_wide([("2023-05-01", "59", "41", "70")]), unit="tenths C")
    assert file.days[0].temp_f == pytest.approx(41.0)


def test_the_wide_shape_drops_failed_checks_and_blanks():
    file = read_ghcn_daily(
        _wide([("2023-05-01", "150", "50", "70/X"), ("2023-05-02", "", "50", "70"), ("2023-05-03", "150/D", "50", "")])
    )
    assert [(day.day.day, day.rh_pct) for day in file.days] == [(1, None)]
    assert any("2 figures failed" in warning for warning in file.warnings)


def test_gaps_are_empty_days_and_missing_humidity_can_come_from_the_climate():
    file = read_ghcn_daily(_long("20240701,TAVG,200,,,W,", "20240703,TAVG,210,,,W,"))
    days = day_rows(file)
    assert [day.temp_f is None for day in days] == [False, True, False]
    filled = fill_humidity(days, city("WI-Madison").climate)
    assert [day.humidity_from for day in filled] == ["climate", "none", "climate"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"station,when,how warm\n1,2,3\n", "three shapes"),
        (_long("20240101,PRCP,100,,,W,"), "no day with a temperature"),
        (_long("20240101,TAVG,100,,,W,") + b"CA001234567,20240101,TAVG,90,,,S,\n", "2 stations"),
        (b'"STATION","DATE","TMAX"\n', "no day with a temperature"),
        (_long("20240101,TAVG,100,,,W,", "2024,TAVG,x,,,W,", "20241301,TAVG,1,,,W,"), "no GHCN-Daily rows"),
    ],
)
def test_what_is_no_ghcn_daily_is_refused_in_words(content, words):
    with pytest.raises(CannotReadWeather, match=words):
        read_ghcn_daily(content)

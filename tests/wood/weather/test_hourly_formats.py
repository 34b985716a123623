"""EPW, TMY3, ISD-Lite, Global Hourly and LCD from made-up files: every missing code, every flaw."""

import numpy as np
import pytest

from tests.wood.weather import made_files as made
from yard.wood.weather.days import day_rows
from yard.wood.weather.epw import read_epw
from yard.wood.weather.global_hourly import read_global_hourly
from yard.wood.weather.isd_lite import read_isd_lite
from yard.wood.weather.lcd import read_lcd
from yard.wood.weather.tmy3 import read_tmy3
from yard.wood.weather.weather_file import CannotReadWeather

# -- EPW ---------------------------------------------------------------------------------------------------


def test_missing_codes_of_an_epw_never_reach_a_mean():
    rows = [(2023, 5, 1, hour, 10.0, 5.0, 70) for hour in range(1, 25)]
    rows[3] = (2023, 5, 1, 4, 99.9, 99.9, 999)
    rows[9] = (2023, 5, 1, 10, 99.9, 5.0, 70)
    rows[15] = (2023, 5, 1, 16, 10.0, 5.0, 999)
    file = read_epw(made.epw(rows))
    assert np.isnan(file.hours.temp_f).sum() == 2
    assert np.isnan(file.hours.rh_pct).sum() == 1
    (day,) = day_rows(file)
    assert day.temp_f == pytest.approx(50.0)
    assert day.hours == 22
    # The hour without humidity took it from its dew point: 5 °C in air of 10 °C is 71%.
    assert day.rh_pct == pytest.approx((70 * 22 + 71.0) / 23, abs=0.05)
    assert file.hours.humidity_from == "measured and dew point"


def test_an_epw_of_one_real_year_keeps_its_year_and_leap_day():
    rows = [(2024, 2, day, hour, 1.0, 0.0, 80) for day in (28, 29) for hour in range(1, 25)]
    file = read_epw(made.epw(rows))
    assert not file.typical
    assert [str(day.day) for day in day_rows(file)] == ["2024-02-28", "2024-02-29"]


def test_a_typical_epw_loses_its_year_and_its_leap_day():
    rows = [(year, 2, day, hour, 1.0, 0.0, 80) for year, day in ((1996, 28), (1996, 29)) for hour in range(1, 25)]
    rows += [(2004, 3, 1, hour, 5.0, 0.0, 80) for hour in range(1, 25)]
    file = read_epw(made.epw(rows, source="TMYx"))
    assert file.typical
    assert [str(day.day) for day in day_rows(file)] == ["2001-02-28", "2001-03-01"]
    assert any("29 February" in warning for warning in file.warnings)


def test_hour_24_stays_in_its_own_day_also_at_the_end_of_the_year():
    file = read_epw(made.epw([(2023, 12, 31, hour, float(hour), 0.0, 80) for hour in range(1, 25)]))
    (day,) = day_rows(file)
    assert str(day.day) == "2023-12-31"
    assert day.temp_f == pytest.approx(12.5 * 1.8 + 32)


def test_bad_rows_are_left_out_with_their_line_numbers():
    content = made.epw([(2023, 5, 1, hour, 10.0, 5.0, 70) for hour in range(1, 25)]).decode()
    lines = content.split("\r\n")
    lines[10] = "2023,5,1"
    lines[12] = lines[12].replace(",10.0,", ",warm,")
    lines[14] = lines[14].replace("2023,5,1", "2023,5,32")
    lines[16] = lines[16].replace(",70,", ",nan,")
    lines[18] = lines[18].replace("2023,5,1,11", "2023,5,1,25")
    file = read_epw("\r\n".join(lines).encode())
    assert len(file.hours) == 19
    (warning,) = file.warnings
    assert warning.startswith("5 rows left out: line 11: 3 columns")
    for number in (11, 13, 15, 17, 19):
        assert f"line {number}:" in warning


def test_an_impossible_temperature_is_missing_and_named():
    rows = [(2023, 5, 1, hour, 10.0, 5.0, 70) for hour in range(1, 25)]
    rows[5] = (2023, 5, 1, 6, 77.0, 5.0, 0)
    file = read_epw(made.epw(rows))
    assert np.isnan(file.hours.temp_f[5])
    assert np.isnan(file.hours.rh_pct[5])
    assert any("outside -90 to 60 °C (first on line 14)" in warning for warning in file.warnings)
    assert any("humidity outside 1 to 110% (first on line 14)" in warning for warning in file.warnings)


def test_humidity_over_100_counts_as_100():
    file = read_epw(made.epw([(2023, 5, 1, 1, 10.0, 10.0, 108)]))
    assert file.hours.rh_pct.tolist() == [100.0]


def test_a_truncated_epw_gives_the_days_it_has():
    whole = made.epw([(2023, 5, day, hour, 10.0, 5.0, 70) for day in (1, 2) for hour in range(1, 25)])
    file = read_epw(whole[: len(whole) - 900])
    days = day_rows(file)
    assert days[0].temp_f == pytest.approx(50.0)
    assert any("columns" in warning for warning in file.warnings) or len(file.hours) < 48


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"  \r\n \n", "empty"),
        (b"hello\nworld\n", "LOCATION"),
        (b"LOCATION,Town,WI\n", "10"),
        (b"LOCATION,Town,WI,USA,AMY,726410,north,-89.3,-6.0,262.0\n" + b"x\n" * 8, "damaged"),
        (made.epw([]), "no hours"),
        (made.epw([(2023, 5, 1, 1, 99.9, 99.9, 999)]), "no row with a temperature"),
        (made.EPW_HEAD.format(source="AMY").encode() + b"a,b,c\n" * 30, "30 of 30 rows"),
    ],
)
def test_what_is_no_epw_is_refused_in_words(content, words):
    with pytest.raises(CannotReadWeather, match=words):
        read_epw(content)


# -- TMY3 --------------------------------------------------------------------------------------------------


def test_missing_codes_of_a_tmy3_never_reach_a_mean():
    rows = [("05/01/1988", f"{hour:02}:00", "10.0", "5.0", "70") for hour in range(1, 25)]
    rows[2] = ("05/01/1988", "03:00", "-9900", "-9900", "-9900")
    rows[8] = ("05/01/1988", "09:00", "10.0", "-9900", "-9900")
    rows[9] = ("05/01/1988", "10:00", "-9900.0", "5.0", "70")
    (day,) = day_rows(read_tmy3(made.tmy3(rows)))
    assert day.temp_f == pytest.approx(50.0)
    assert day.rh_pct == pytest.approx(70.0)
    assert day.hours == 22


def test_hour_24_of_a_tmy3_stays_in_its_own_day_and_the_years_are_dropped():
    rows = [("12/31/1999", f"{hour:02}:00", str(hour), "0.0", "70") for hour in range(1, 25)]
    (day,) = day_rows(read_tmy3(made.tmy3(rows)))
    assert str(day.day) == "2001-12-31"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"one,two\n", "seven cells"),
        (b'726410,"X",WI,west,43.1,-89.3,262\na\n', "damaged"),
        (b'726410,"X",WI,-6.0,43.1,-89.3,262\nDate,Time\n', "Date"),
        (made.tmy3([]), "no hours"),
        (made.tmy3([("05/01/1988", "01:30", "10.0", "5.0", "70")]), "not a whole hour"),
    ],
)
def test_what_is_no_tmy3_is_refused_in_words(content, words):
    with pytest.raises(CannotReadWeather, match=words):
        read_tmy3(content)


# -- ISD-Lite ----------------------------------------------------------------------------------------------


def test_missing_codes_of_isd_lite_never_reach_a_mean():
    lines = [f"2023 05 01 {hour:02}   100    50 10175   270    26     4     0     0" for hour in range(24)]
    lines[2] = "2023 05 01 02 -9999 -9999 -9999 -9999 -9999 -9999 -9999 -9999"
    lines[7] = "2023 05 01 07   100 -9999 10175   270    26     4     0     0"
    (day,) = day_rows(read_isd_lite("\n".join(lines).encode()), 0)
    assert day.hours == 23
    assert day.temp_f == pytest.approx(50.0)
    assert day.rh_pct == pytest.approx(71.0, abs=0.2)


def test_isd_lite_rows_cut_short_are_left_out_with_their_line():
    content = b"2023 05 01 00 100 50 0 0 0 0 0 0\n2023 05 01 01 100 50 0 0 0 0 0 0\n2023 05 01 0"
    file = read_isd_lite(content, "726410")
    assert len(file.hours) == 2
    assert "line 3" in file.warnings[0]
    assert file.place.station == "726410"


# -- Global Hourly -----------------------------------------------------------------------------------------


def _day_of_reports(temp="+0100,5", dew="+0050,5"):
    return [(f"2023-05-01T{hour:02}:53:00", "FM-15", temp, dew) for hour in range(24)]


def test_missing_suspect_and_summary_rows_of_global_hourly_never_reach_a_mean():
    rows = _day_of_reports()
    rows[1] = ("2023-05-01T01:53:00", "FM-15", "+9999,9", "+9999,9")
    rows[7] = ("2023-05-01T07:53:00", "FM-15", "+0450,3", "+0050,5")
    rows[9] = ("2023-05-01T09:53:00", "FM-15", "-0450,2", "+0050,5")
    rows[13] = ("2023-05-01T13:53:00", "FM-15", "+0100,5", "+0010,7")
    rows[19] = ("2023-05-01T19:53:00", "FM-15", "+0100,1", "+9999,9")
    rows.append(("2023-05-01T23:59:00", "SOD  ", "", ""))
    rows.append(("2023-05-31T23:59:00", "SOM  ", "", ""))
    file = read_global_hourly(made.global_hourly(rows))
    (day,) = day_rows(file, utc_offset_h=0)
    assert day.hours == 21
    assert day.temp_f == pytest.approx(50.0)
    assert day.rh_pct == pytest.approx(71.0, abs=0.2)
    assert "3 values marked as suspect" in file.warnings[0]


@pytest.mark.parametrize("code", list("01459ACIMPRU"))
def test_values_that_passed_or_were_corrected_are_kept(code):
    file = read_global_hourly(made.global_hourly([("2023-05-01T00:00:00", "FM-12", f"-0055,{code}", f"-0100,{code}")]))
    assert file.hours.temp_f.tolist() == pytest.approx([22.1])


def test_global_hourly_knows_its_place_and_takes_local_days_by_its_longitude():
    file = read_global_hourly(made.global_hourly(_day_of_reports()))
    assert file.place.name == "MADISON, WI US"
    assert file.place.elevation_ft == pytest.approx(264 / 0.3048)
    assert {str(day.day) for day in day_rows(file)} == {"2023-04-30", "2023-05-01"}


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b'"STATION","DATE","TMP"\n', "DEW"),
        (made.global_hourly([]), "no row with a temperature"),
        (made.global_hourly([("yesterday", "FM-15", "+0100,5", "+0050,5")]), "1 of 1 rows"),
        (made.global_hourly([("2023-05-01T00:00:00", "FM-15", "warm", "+0050,5")]), "1 of 1 rows"),
    ],
)
def test_what_is_no_global_hourly_is_refused_in_words(content, words):
    with pytest.raises(CannotReadWeather, match=words):
        read_global_hourly(content)


# -- LCD ---------------------------------------------------------------------------------------------------


def _lcd_day(temp, dew, rh, sod_temp="", sod_rh=""):
    rows = [(f"2023-05-01T{hour:02}:53:00", "FM-15", "", "", dew, temp, rh) for hour in range(24)]
    return [*rows, ("2023-05-01T23:59:00", "SOD  ", sod_temp, sod_rh, "", "", "")]


def test_version_1_in_fahrenheit_and_version_2_in_celsius_give_the_same_air():
    first = read_lcd(made.lcd_v1(_lcd_day("50", "41", "71")))
    second = read_lcd(made.lcd_v2(_lcd_day("10.0", "5.0", "71")))
    assert (first.format, second.format) == ("LCD version 1", "LCD version 2")
    assert first.hours.temp_f == pytest.approx(second.hours.temp_f)
    assert first.hours.temp_f[0] == pytest.approx(50.0)
    assert first.time_basis == "local standard"
    assert second.place.lat_deg == 43.1405


def test_version_1_columns_ordered_in_celsius_are_told_by_their_tenths():
    file = read_lcd(made.lcd_v1(_lcd_day("10.0", "5.0", "71")))
    assert file.hours.temp_f[0] == pytest.approx(50.0)
    assert any("read as °C" in warning for warning in file.warnings)


def test_the_unit_can_be_given():
    file = read_lcd(made.lcd_v2(_lcd_day("50", "41", "71")), unit="F")
    assert file.hours.temp_f[0] == pytest.approx(50.0)


def test_flags_of_an_lcd_file_never_reach_a_mean():
    rows = _lcd_day("50", "41", "70")
    rows[2] = ("2023-05-01T02:53:00", "FM-15", "", "", "41", "95s", "70")
    rows[8] = ("2023-05-01T08:53:00", "FM-15", "", "", "M", "M", "M")
    rows[9] = ("2023-05-01T09:53:00", "FM-15", "", "", "", "", "")
    rows[14] = ("2023-05-01T14:53:00", "FM-15", "", "", "41", "50*", "70")
    rows[15] = ("2023-05-01T15:53:00", "FM-15", "", "", "41", "50", "12s")
    rows.append(("2023-05-31T23:59:00", "SOM  ", "", "", "", "", ""))
    file = read_lcd(made.lcd_v1(rows))
    (day,) = day_rows(file)
    assert day.hours == 21
    assert day.temp_f == pytest.approx(50.0)
    assert day.rh_pct == pytest.approx(70.0, abs=0.1)
    assert any("2 values marked as suspect" in warning for warning in file.warnings)


def test_the_stations_own_day_mean_comes_before_the_hours():
    (day,) = day_rows(read_lcd(made.lcd_v1(_lcd_day("50", "41", "70", "52", "66"))))
    assert (day.temp_f, day.rh_pct) == (52.0, 66.0)
    assert "own day mean" in day.note
    (day,) = day_rows(read_lcd(made.lcd_v2(_lcd_day("10.0", "5.0", "70", "11.0", "66"))))
    assert day.temp_f == pytest.approx(51.8)


@pytest.mark.parametrize(("sod_temp", "sod_rh"), [("", "66"), ("52", ""), ("52s", "66"), ("M", "M"), ("52", "0")])
def test_half_a_day_mean_is_none(sod_temp, sod_rh):
    (day,) = day_rows(read_lcd(made.lcd_v1(_lcd_day("50", "41", "70", sod_temp, sod_rh))))
    assert day.temp_f == pytest.approx(50.0)
    assert day.rh_pct == pytest.approx(70.0)


def test_an_lcd_file_without_humidity_takes_it_from_the_dew_point():
    file = read_lcd(made.lcd_v2(_lcd_day("10.0", "5.0", "")))
    assert file.hours.humidity_from == "dew point"
    assert file.hours.rh_pct[0] == pytest.approx(71.0, abs=0.2)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b'"STATION","DATE","TMP"\n', "HourlyDryBulbTemperature"),
        (made.lcd_v1([]), "no row with a temperature"),
        (made.lcd_v1([("0001-05-01T00:00:00", "FM-15", "", "", "41", "50", "70")]), "1 of 1 rows"),
        (made.lcd_v1([("2023-05-01T00:00:00", "FM-15", "", "", "41", "hot", "70")]), "1 of 1 rows"),
    ],
)
def test_what_is_no_lcd_file_is_refused_in_words(content, words):
    with pytest.raises(CannotReadWeather, match=words):
        read_lcd(content)

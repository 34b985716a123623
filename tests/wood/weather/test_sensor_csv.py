"""A sensor's own CSV: any columns, °C or °F, decimal comma, wall clocks with summer time."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from yard.wood.weather.days import day_rows
from yard.wood.weather.sensor_csv import SensorColumns, guess_columns, read_sensor_csv, stamp_of
from yard.wood.weather.weather_file import CannotReadWeather


@pytest.mark.parametrize(
    ("text", "order", "when"),
    [
        ("2024-02-01 10:05", "ymd", datetime(2024, 2, 1, 10, 5)),
        ("2024-02-01T10:05:30", "ymd", datetime(2024, 2, 1, 10, 5, 30)),
        ("2024-02-01T10:05:00Z", "ymd", datetime(2024, 2, 1, 10, 5, tzinfo=UTC)),
        ("2024/02/01 10:05", "mdy", datetime(2024, 2, 1, 10, 5)),
        ("2/1/2024 10:05 PM", "mdy", datetime(2024, 2, 1, 22, 5)),
        ("2/1/24 12:00 AM", "mdy", datetime(2024, 2, 1, 0, 0)),
        ("01.02.2024 10:05:59", "dmy", datetime(2024, 2, 1, 10, 5, 59)),
        ("01/02/2024, 10:05", "dmy", datetime(2024, 2, 1, 10, 5)),
        ("2024-02-01 03:05:00 PM", "ymd", datetime(2024, 2, 1, 15, 5)),
        ("1706781900", "ymd", datetime(2024, 2, 1, 10, 5, tzinfo=UTC)),
        ("1706781900000", "ymd", datetime(2024, 2, 1, 10, 5, tzinfo=UTC)),
        ("2024-02-01", "ymd", datetime(2024, 2, 1)),
    ],
)
def test_stamps_are_read_as_people_and_machines_write_them(text, order, when):
    assert stamp_of(text, order) == when


@pytest.mark.parametrize(
    "text", ["", "noon", "2024-13-01 10:00", "31.02.2024", "2024-02-01 25:00", "1/2/2024 13:00 PM"]
)
def test_what_is_no_stamp_is_refused(text):
    with pytest.raises(ValueError):
        stamp_of(text, "dmy")


def test_fahrenheit_and_celsius_with_a_decimal_comma_give_the_same_air():
    american = b"Time,Temp (F),RH\n2024-02-01 10:00,50.0,71.5\n"
    european = "Zeit;Temperatur °C;Feuchte\n01.02.2024 10:00;10,0;71,5\n".encode()
    first = read_sensor_csv(american, SensorColumns("Time", "Temp (F)", "RH", temp_unit="F"))
    second = read_sensor_csv(
        european, SensorColumns("Zeit", "Temperatur °C", "Feuchte", date_order="dmy", decimal_comma=True)
    )
    for file in (first, second):
        assert file.hours.temp_f.tolist() == pytest.approx([50.0])
        assert file.hours.rh_pct.tolist() == pytest.approx([71.5])
        assert str(file.hours.when[0]) == "2024-02-01T10:00:00"


@pytest.mark.parametrize("blank", ["", "-", "---", "n/a", "NaN", "null", "unavailable", "ERR"])
def test_what_a_sensor_writes_for_nothing_is_missing(blank):
    content = f"t,temp,rh\n2024-02-01 10:00,{blank},50\n2024-02-01 11:00,10,{blank}\n".encode()
    file = read_sensor_csv(content, SensorColumns("t", "temp", "rh"))
    assert np.isnan(file.hours.temp_f).tolist() == [True, False]
    assert np.isnan(file.hours.rh_pct).tolist() == [False, True]


def test_failed_sensors_are_not_taken_for_weather():
    content = b"t,temp,rh\n" + b"".join(
        b"2024-02-01 1%d:00,%s,%s\n" % (n, temp, rh)
        for n, (temp, rh) in enumerate(
            [(b"20", b"50"), (b"-127", b"50"), (b"850", b"50"), (b"20", b"0"), (b"20", b"998")]
        )
    )
    file = read_sensor_csv(content, SensorColumns("t", "temp", "rh"))
    assert np.isnan(file.hours.temp_f).tolist() == [False, True, True, False, False]
    assert np.isnan(file.hours.rh_pct).tolist() == [False, False, False, True, True]
    assert len(file.warnings) == 2


def test_a_kiln_as_hot_as_a_kiln_gets_is_kept():
    file = read_sensor_csv(b"t,temp\n2024-02-01 10:00,180\n", SensorColumns("t", "temp", temp_unit="F"))
    assert file.hours.temp_f.tolist() == pytest.approx([180.0])
    assert file.hours.humidity_from == "none"


def test_date_and_clock_in_two_columns():
    content = b"Date,Time,T\n02/01/2024,10:05,20\n"
    columns = SensorColumns("Date", "T", clock="Time", date_order="mdy")
    assert str(read_sensor_csv(content, columns).hours.when[0]) == "2024-02-01T10:05:00"


@pytest.mark.parametrize("day", ["2024-03-10", "2024-11-03"])
def test_a_wall_clock_with_summer_time_gives_whole_days_of_standard_time(day):
    """On the first day an hour is missing from the wall clock, on the second one comes twice."""
    begin = datetime.fromisoformat(f"{day}T06:00+00:00") - timedelta(days=1)
    zone = ZoneInfo("America/Chicago")
    rows = "".join(f"{(begin + timedelta(hours=n)).astimezone(zone):%Y-%m-%d %H:%M},{n % 24},60\n" for n in range(72))
    columns = SensorColumns("t", "temp", "rh", temp_unit="F", time_zone="America/Chicago")
    file = read_sensor_csv(f"t,temp,rh\n{rows}".encode(), columns)
    assert file.time_basis == "UTC"
    assert file.place.utc_offset_h == -6.0
    days = day_rows(file)
    assert len(days) == 3
    whole = [one for one in days if one.day.isoformat() == day]
    assert whole[0].hours >= 23  # the repeated hour of the second day is one hour to a clock without a mark
    assert whole[0].temp_f == pytest.approx(11.5, abs=0.5)


def test_offsets_from_utc_are_followed():
    content = b"t,temp\n2024-02-01T10:00:00-06:00,20\n2024-02-01T11:00:00-06:00,20\n"
    file = read_sensor_csv(content, SensorColumns("t", "temp"))
    assert file.time_basis == "UTC"
    assert str(file.hours.when[0]) == "2024-02-01T16:00:00"


def test_times_with_and_without_an_offset_cannot_be_mixed():
    content = b"t,temp\n2024-02-01T10:00:00Z,20\n2024-02-01T11:00:00,20\n"
    with pytest.raises(CannotReadWeather, match="offset"):
        read_sensor_csv(content, SensorColumns("t", "temp"))


@pytest.mark.parametrize("order", [1, -1], ids=["oldest first", "newest first"])
def test_no_reading_of_the_hour_that_is_shown_twice_is_lost(order):
    """On 1 November 2026 the clocks of Chicago show 1:00 to 1:59 twice; a file sent twice keeps each once."""
    begin, zone = datetime(2026, 11, 1, 4, tzinfo=UTC), ZoneInfo("America/Chicago")
    moments = [begin + timedelta(minutes=10 * n) for n in range(60)][::order]
    rows = "".join(f"{at.astimezone(zone):%Y-%m-%d %H:%M},60\n" for at in moments)
    columns = SensorColumns("t", "temp", temp_unit="F", time_zone="America/Chicago")
    found = read_sensor_csv(f"t,temp\n{rows}{rows}".encode(), columns).hours.when
    wanted = sorted(at.replace(tzinfo=None) for at in moments)
    assert np.unique(found).astype("datetime64[s]").tolist() == wanted


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        (SensorColumns("when", "temp"), "no column 'when'.*'t', 'temp'"),
        (SensorColumns("t", "temp", "rh"), "no column 'rh'"),
        (SensorColumns("t", "temp", time_zone="America/Nowhere"), "time zone"),
        (SensorColumns("t", "temp", time_zone="../../etc/passwd"), "time zone"),
        (SensorColumns("t", "temp", delimiter="ab"), "one character"),
        (SensorColumns("t", "temp", delimiter="\n"), "one character"),
    ],
)
def test_a_mapping_that_does_not_fit_is_refused_in_words(columns, words):
    with pytest.raises(CannotReadWeather, match=words):
        read_sensor_csv(b"t,temp\n2024-02-01T10:00:00,20\n", columns)


def test_bad_rows_are_left_out_with_their_line():
    content = b"t,temp\n2024-02-01 10:00,20\nhello,20\n2024-02-01 12:00\n2024-02-01 13:00,warm\n" + b"".join(
        b"2024-02-02 %02d:00,20\n" % hour for hour in range(5)
    )
    file = read_sensor_csv(content, SensorColumns("t", "temp"))
    assert len(file.hours) == 6
    assert all(f"line {number}:" in file.warnings[0] for number in (3, 4, 5))


@pytest.mark.parametrize(
    ("head", "row", "expected"),
    [
        ("Timestamp,Temperature (F),Humidity (%)", "2024-02-01 10:00,50,60",
         SensorColumns("Timestamp", "Temperature (F)", "Humidity (%)", temp_unit="F", delimiter=",")),
        ("Date;Time;Temp [°C];rH [%]", "13.02.2024;10:00;10,5;60",
         SensorColumns("Date", "Temp [°C]", "rH [%]", "Time", date_order="dmy", decimal_comma=True, delimiter=";")),
        ("time\tDew point C\tDry bulb C", "2/13/2024 10:00\t4\t10",
         SensorColumns("time", "Dry bulb C", date_order="mdy", delimiter="\t")),
    ],
)  # fmt: skip
def test_the_columns_are_guessed_from_their_names(head, row, expected):
    content = f"{head}\n{row}\n".encode()
    assert guess_columns(content) == expected
    assert len(read_sensor_csv(content, guess_columns(content)).hours) == 1


def test_no_guess_is_made_where_there_is_nothing_to_go_by():
    with pytest.raises(CannotReadWeather, match="say which is which"):
        guess_columns(b"a,b,c\n1,2,3\n")

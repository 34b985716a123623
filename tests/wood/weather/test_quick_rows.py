"""Rows written the plain way are read many at once, and say the same as one by one."""

import numpy as np
import pytest

from yard.wood.weather.opening import csv_parts, csv_rows
from yard.wood.weather.quick_rows import AT_ONCE, quick_rows
from yard.wood.weather.sensor_csv import SensorColumns, read_sensor_csv

COLUMNS = SensorColumns("t", "temp", "rh", temp_unit="F")
PLAIN = [["2024-02-01 10:05", "50.5", "71"], ["2024-02-01 10:06", "-3", "72.5"]]


def plain_file(count, ending=""):
    """So many minutes from 1 February 2024 on, with °F and RH that tell the row."""
    start = np.datetime64("2024-02-01T00:00", "m")
    rows = (f"{start + n}{ending},{50 + n % 40},{n % 100 + 1}" for n in range(count))
    return "t,temp,rh\n" + "\n".join(rows) + "\n"


def same(first, second):
    assert first.time_basis == second.time_basis
    assert (first.hours.when == second.hours.when).all()
    assert np.array_equal(first.hours.temp_f, second.hours.temp_f, equal_nan=True)
    assert np.array_equal(first.hours.rh_pct, second.hours.rh_pct, equal_nan=True)


@pytest.mark.parametrize("ending", ["", "Z", ":00", ":00Z"])
def test_many_at_once_are_the_same_as_one_by_one(ending, monkeypatch):
    content = plain_file(AT_ONCE + 50, ending).encode()
    quick = read_sensor_csv(content, COLUMNS)
    monkeypatch.setattr("yard.wood.weather.sensor_csv.quick_rows", lambda *_: None)
    same(quick, read_sensor_csv(content, COLUMNS))
    assert len(quick.hours.when) == AT_ONCE + 50
    assert quick.time_basis == ("UTC" if ending.endswith("Z") else "local standard")


def test_an_odd_row_among_thousands_is_named_by_its_line_and_the_order_stays():
    lines = plain_file(3 * AT_ONCE).split("\n")
    odd = AT_ONCE + 77
    lines[odd] = "2024-13-01 10:00,50,50"
    lines[odd + 1] = ""
    file = read_sensor_csv("\n".join(lines).encode(), COLUMNS)
    assert len(file.hours.when) == 3 * AT_ONCE - 2
    assert any(f"line {odd + 1}:" in words for words in file.warnings)
    assert (np.diff(file.hours.when).astype(int) > 0).all()
    assert file.hours.temp_f[odd - 2] == 50 + (odd - 2) % 40


def test_a_value_that_cannot_be_is_named_by_its_line_however_many_rows_there_are():
    lines = plain_file(2 * AT_ONCE).split("\n")
    lines[AT_ONCE + 500] = "2024-02-08 10:00,999,50"
    file = read_sensor_csv("\n".join(lines).encode(), COLUMNS)
    assert any(f"first on line {AT_ONCE + 501})" in words for words in file.warnings)


@pytest.mark.parametrize(
    "row",
    [
        ["1/2/2024 3:05 PM", "50", "50"],
        ["2024-02-31 10:00", "50", "50"],
        ["2024-02-01 10:99", "50", "50"],
        ["2024-02-01x10:05", "50", "50"],
        ["2024-02-01 10:05", "", "50"],
        ["2024-02-01 10:05", "50", "nan"],
        ["2024-02-01 10:05", "inf", "50"],
        ["2024-02-01 10:05", "5_0", "50"],
        ["2024-02-01 10:05"],
        ["2024-02-01T10:05:00-06:00", "50", "50"],
        ["1706781900", "50", "50"],
    ],
)
def test_what_is_not_written_the_plain_way_is_left_to_the_reader_of_rows(row):
    assert quick_rows(PLAIN, 0, 1, 2) is not None
    assert quick_rows([*PLAIN, row], 0, 1, 2) is None


def test_years_that_no_instrument_saw_are_bad_rows_as_before():
    content = b"t,temp,rh\n2024-02-01 10:05,50,50\n9999-02-01 10:05,50,50\n"
    file = read_sensor_csv(content, COLUMNS)
    assert len(file.hours.when) == 1
    assert any("not believable" in words for words in file.warnings)


@pytest.mark.parametrize("text", ['a,b\n"x\ny",2\n\n3,4\n', "a,b\r\n\r\n1,2\r\n3,4", "", "\n\n", "a,b"])
def test_parts_are_the_rows_with_their_line_numbers(text):
    parts = list(csv_parts(text, ",", 2))
    flat = [pair for numbers, cells in parts for pair in zip(numbers, cells, strict=True)]
    assert flat == list(csv_rows(text, ","))

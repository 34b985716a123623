"""Sun from weather files: the two layouts, and what is wrong with those that are none."""

import pytest

from kilns.physics.sun_file import read_sun
from tests.kilns.physics.test_solar import _bytes, _flat, _hours_of_file
from yard.wood.weather.weather_file import CannotReadWeather

TMY3_HEAD = (
    '726410,"MADISON DANE CO REGIONAL ARPT",WI,-6.0,43.133,-89.350,262\n'
    "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2)\n"
)


def _tmy3(ghi=100.0):
    days = [
        (m, d) for m, last in enumerate((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), 1) for d in range(1, last + 1)
    ]
    hours = [f"{m:02d}/{d:02d}/1991,{h:02d}:00,{ghi},50,{ghi / 2}" for m, d in days for h in range(1, 25)]
    return (TMY3_HEAD + "\n".join(hours) + "\n").encode()


@pytest.mark.parametrize("key", ["IL-Chicago", "AK-Northway"])
def test_the_months_of_an_epw_file_are_the_means_of_its_hours(key):
    sun = read_sun(_bytes(key))
    assert sun.format == "EPW"
    assert sun.global_wh_m2 == pytest.approx(_flat(_hours_of_file(key), 0))
    assert sun.diffuse_wh_m2 == pytest.approx(_flat(_hours_of_file(key), 2))


def test_a_tmy3_file_is_read_by_the_names_of_its_columns():
    sun = read_sun(_tmy3())
    assert (sun.format, sun.lat_deg, sun.lon_deg, sun.utc_offset_h) == ("TMY3", 43.133, -89.35, -6.0)
    assert sun.global_wh_m2 == pytest.approx([2400] * 12)
    assert sun.diffuse_wh_m2 == pytest.approx([1200] * 12)


def test_missing_hours_are_left_out_and_too_many_are_refused():
    text = _tmy3().decode()
    some = text.replace("01/01/1991,12:00,100.0", "01/01/1991,12:00,9999")
    assert read_sun(some.encode()).global_wh_m2[0] == pytest.approx(2400)
    with pytest.raises(CannotReadWeather, match="Month 6"):
        read_sun("\n".join(line for line in text.splitlines() if not line.startswith("06/")).encode())


@pytest.mark.parametrize(
    ("content", "match"),
    [
        (b"", "No sun|empty"),
        (b"date,temp\n2020-01-01,5\n", "No sun"),
        (b"LOCATION,Town,WI,USA,x,1,here,there,-6,262\n" + b"x\n" * 7, "where it was measured"),
        (b"LOCATION,Town,WI,USA,x,1,43,-89,-6,262\n" + b"x\n" * 7 + b"1999,1,1\n", "damaged"),
        (b"\xff\xfe\x00\x01" * 20, "sun|text|read"),
    ],
)
def test_files_without_sun_are_refused_in_words(content, match):
    with pytest.raises(CannotReadWeather, match=match):
        read_sun(content)

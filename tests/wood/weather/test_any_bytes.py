"""Whatever is uploaded, a reader gives a weather file or one clear sentence, never a traceback."""

import gzip
import io
import random
import zipfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.wood.weather import made_files as made
from yard.wood.weather.collecting import hour_ending
from yard.wood.weather.days import day_rows
from yard.wood.weather.detect import FORMATS, format_of, read_weather
from yard.wood.weather.opening import text_of, unpacked
from yard.wood.weather.sensor_csv import SensorColumns, guess_columns, read_sensor_csv
from yard.wood.weather.weather_file import CannotReadWeather

DATA = Path(__file__).parent / "data"

GOOD = {
    "EPW": made.epw([(2023, 5, 1, hour, 10.0, 5.0, 70) for hour in range(1, 25)]),
    "TMY3": made.tmy3([("05/01/1988", f"{hour:02}:00", "10.0", "5.0", "70") for hour in range(1, 25)]),
    "ISD-Lite": b"".join(b"2023 05 01 %02d   100    50 10175   270    26     4     0     0\n" % h for h in range(24)),
    "Global Hourly": made.global_hourly(
        [(f"2023-05-01T{h:02}:53:00", "FM-15", "+0100,5", "+0050,5") for h in range(24)]
    ),
    "LCD": made.lcd_v2([(f"2023-05-01T{h:02}:53:00", "FM-15", "", "", "5.0", "10.0", "70") for h in range(24)]),
    "GHCN-Daily": made.dly("USW00014837", 2023, 5, "TAVG", dict.fromkeys(range(1, 32), 100)).encode(),
}
SENSOR = b"t,temp,rh\n" + b"".join(b"2024-02-01 %02d:00,20.5,50\n" % hour for hour in range(24))


def _read(reader, content):
    """Read, take days; hold what comes out to what every weather file must be."""
    try:
        file = reader(content)
        days = day_rows(file, utc_offset_h=-6)
    except CannotReadWeather as error:
        sentence = str(error)
    else:
        sentence = ""
    if sentence:
        assert len(sentence) > 15
        assert sentence[0].isupper()
        assert sentence.endswith(".")
        return
    for day in days:
        if day.temp_f is not None:
            assert -140 <= day.temp_f <= 270
        if day.rh_pct is not None:
            assert 0 < day.rh_pct <= 100
            assert 0 < day.emc_pct < 40
    if file.hours is not None:
        assert not np.isinf(file.hours.temp_f).any()
        assert not np.isinf(file.hours.rh_pct).any()


@pytest.mark.parametrize("name", FORMATS)
def test_the_made_up_files_are_read_and_told_apart(name):
    assert format_of(GOOD[name]) == name
    assert any(day.temp_f == pytest.approx(50.0) for day in day_rows(read_weather(GOOD[name]), 0))


@pytest.mark.parametrize("name", FORMATS)
@settings(max_examples=120, deadline=None)
@given(content=st.binary(max_size=400))
def test_random_bytes_never_cause_a_traceback(name, content):
    _read(FORMATS[name], content)


@pytest.mark.parametrize("name", FORMATS)
@settings(max_examples=60, deadline=None)
@given(content=st.text(alphabet="0123456789 ,.;-+/:\"'\n\rTMAXLOCATION°", max_size=400).map(str.encode))
def test_random_text_never_causes_a_traceback(name, content):
    _read(FORMATS[name], content)


@pytest.mark.parametrize("name", [*FORMATS, "sensor"])
@settings(max_examples=150, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), hits=st.integers(1, 30))
def test_a_good_file_with_random_damage_never_causes_a_traceback(name, seed, hits):
    chance = random.Random(seed)
    content = bytearray(SENSOR if name == "sensor" else GOOD[name])
    for _ in range(hits):
        at = chance.randrange(len(content))
        kind = chance.random()
        if kind < 0.5:
            content[at] = chance.choice(b'0123456789,.-+ "\n\r\x00\xffeEnaf_:/TZ')
        elif kind < 0.75:
            del content[at : at + chance.randrange(1, 60)]
        else:
            content[at:at] = bytes(chance.choices(b'9-,"\n 0', k=chance.randrange(1, 12)))
        if not content:
            break
    reader = (
        (lambda data: read_sensor_csv(data, SensorColumns("t", "temp", "rh"))) if name == "sensor" else FORMATS[name]
    )
    _read(reader, bytes(content))


@pytest.mark.parametrize("year", ["0", "10000", "4999002023", "9" * 30])
def test_a_year_that_no_calendar_has_is_a_bad_row_and_not_a_traceback(year):
    with pytest.raises(ValueError):
        hour_ending(int(year), 5, 1, 5)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300))
def test_random_bytes_are_never_taken_for_a_sensor_csv(content):
    try:
        columns = guess_columns(content)
    except CannotReadWeather:
        columns = SensorColumns("t", "temp")
    _read(lambda data: read_sensor_csv(data, columns), content)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from([b"\x1f\x8b\x08", b"PK\x03\x04"]), st.binary(max_size=200))
def test_damaged_archives_never_cause_a_traceback(begin, rest):
    _read(read_weather, begin + rest)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_a_zip_with_random_damage_never_causes_a_traceback(seed):
    chance = random.Random(seed)
    content = bytearray(_zip({"town.epw": GOOD["EPW"]}))
    for _ in range(chance.randrange(1, 8)):
        content[chance.randrange(len(content))] = chance.randrange(256)
    _read(read_weather, bytes(content))


@pytest.mark.parametrize("name", FORMATS)
def test_every_truncation_of_a_good_file_is_read_or_refused(name):
    content = GOOD[name]
    for end in range(0, len(content), max(1, len(content) // 150)):
        _read(FORMATS[name], content[:end])


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("dress", ["bom", "crlf", "lf", "gzip", "zip", "utf-16", "blank lines"])
def test_the_same_file_in_another_dress_gives_the_same_days(name, dress):
    plain = GOOD[name].replace(b"\r\n", b"\n")
    dressed = {
        "bom": b"\xef\xbb\xbf" + plain,
        "crlf": plain.replace(b"\n", b"\r\n"),
        "lf": plain,
        "gzip": gzip.compress(plain),
        "zip": _zip({"weather.txt": plain}),
        "utf-16": plain.decode().encode("utf-16"),
        "blank lines": plain + b"\n\n",
    }[dress]
    assert format_of(dressed) == name
    assert day_rows(read_weather(dressed), -6) == day_rows(read_weather(GOOD[name]), -6)


def test_a_file_in_another_encoding_is_read_with_a_warning():
    content = GOOD["EPW"].replace(b"Somewhere", "Montréal".encode("latin-1"))
    file = read_weather(content)
    assert file.place.name.startswith("Montréal")
    assert any("not UTF-8" in warning for warning in file.warnings)


def test_a_picture_is_not_taken_for_weather():
    with pytest.raises(CannotReadWeather, match="not a text file"):
        read_weather(b"\x89PNG\r\n\x1a\n" + b"\x00" * 50)


def test_a_note_is_not_taken_for_weather_and_the_known_formats_are_named():
    with pytest.raises(CannotReadWeather, match="EPW, TMY3, ISD-Lite"):
        read_weather(b"Dear yard,\nplease find enclosed\n")


def _zip(members):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return packed.getvalue()


def test_an_epw_zipped_with_its_companions_is_found():
    content = _zip({"town.epw": GOOD["EPW"], "town.stat": b"stat", "town.ddy": b"ddy"})
    assert read_weather(content).format == "EPW"


def test_a_zip_with_two_weather_files_is_refused_in_words():
    with pytest.raises(CannotReadWeather, match="holds 2 files"):
        read_weather(_zip({"a.epw": GOOD["EPW"], "b.csv": GOOD["LCD"]}))


@pytest.mark.parametrize("content", [gzip.compress(b"\x00" * 100_000_100), _zip({"a.csv": b"0" * 100_000_100})])
def test_an_archive_that_unpacks_too_large_is_refused(content):
    assert len(content) < 1_000_000
    with pytest.raises(CannotReadWeather, match="larger than 100 MB"):
        unpacked(content)


def test_a_gzip_cut_off_is_refused_in_words():
    with pytest.raises(CannotReadWeather, match="cut off"):
        text_of((DATA / "isd_lite_725300_2016.gz").read_bytes()[:5000])

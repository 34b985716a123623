"""Tell the format of a weather file from its content, and read it with the right reader."""

import re
from collections.abc import Callable

from yard.wood.weather.epw import read_epw
from yard.wood.weather.ghcn_daily import read_ghcn_daily, shape_of
from yard.wood.weather.global_hourly import read_global_hourly
from yard.wood.weather.isd_lite import read_isd_lite
from yard.wood.weather.lcd import read_lcd
from yard.wood.weather.opening import text_of
from yard.wood.weather.tmy3 import read_tmy3
from yard.wood.weather.weather_file import CannotReadWeather, WeatherFile

FORMATS: dict[str, Callable[[bytes], WeatherFile]] = {
    "EPW": read_epw,
    "TMY3": read_tmy3,
    "ISD-Lite": read_isd_lite,
    "Global Hourly": read_global_hourly,
    "LCD": read_lcd,
    "GHCN-Daily": read_ghcn_daily,
}

ISD_LITE_LINE = re.compile(r"\d{4} \d\d \d\d \d\d( +-?\d+){2,8}\s*$")


def format_of(content: bytes) -> str:
    """Return the name of the format of a weather file: a key of FORMATS.

    Errors: CannotReadWeather when it is none of them, in words that say what is read here.

    >>> format_of(b"2016 01 01 00   -44   -83 10256   260    67     4 -9999 -9999\\n")
    'ISD-Lite'
    """
    text, _ = text_of(content)
    lines = text.lstrip().split("\n", 2)
    first = lines[0].strip()
    cells = {cell.strip().strip('"').upper() for cell in first.split(",")}
    if first.upper().startswith("LOCATION,"):
        return "EPW"
    if len(lines) > 1 and "Date (MM/DD/YYYY)" in lines[1]:
        return "TMY3"
    if ISD_LITE_LINE.match(first):
        return "ISD-Lite"
    if {"STATION", "DATE", "TMP", "DEW"} <= cells:
        return "Global Hourly"
    if {"STATION", "DATE", "HOURLYDRYBULBTEMPERATURE"} <= cells:
        return "LCD"
    try:
        shape_of(text)
    except CannotReadWeather:
        raise CannotReadWeather(
            "This is no weather file known here. Known are EPW, TMY3, ISD-Lite, Global Hourly, LCD and GHCN-Daily; "
            "a sensor's own CSV is read by naming its columns."
        ) from None
    return "GHCN-Daily"


def read_weather(content: bytes) -> WeatherFile:
    """Read a weather file of any known format, packed by gzip or zip or not.

    Errors: CannotReadWeather.

    >>> read_weather(b"2016 01 01 00   -44   -83 10256   260    67     4 -9999 -9999\\n").format
    'ISD-Lite'
    """
    return FORMATS[format_of(content)](content)

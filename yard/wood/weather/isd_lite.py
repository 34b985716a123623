"""ISD-Lite: twelve whole numbers an hour, blanks between, no header, UTC."""

from datetime import datetime

from yard.wood.weather.collecting import NAN, AirRows
from yard.wood.weather.opening import text_of
from yard.wood.weather.weather_file import WeatherFile, WeatherPlace

MISSING = -9999
# ISD-LITE-FORMAT


def read_isd_lite(content: bytes, station: str = "") -> WeatherFile:
    """Read an ISD-Lite file: temperature of every hour, humidity from the dew point, times in UTC.

    The file names no place: give the station if it is known, and the hours from UTC when the days are taken.
    Errors: CannotReadWeather.
    Source: ISD-LITE-FORMAT, checked on real files.

    >>> file = read_isd_lite(b"2016 01 01 00   -44   -83 10256   260    67     4 -9999 -9999\\n")
    >>> round(float(file.hours.temp_f[0]), 2), round(float(file.hours.rh_pct[0])), file.time_basis
    (24.08, 74, 'UTC')
    """
    text, warnings = text_of(content)
    rows = AirRows(warnings=list(warnings))
    for line, row in enumerate(text.splitlines(), start=1):
        cells = row.split()
        if not cells:
            continue
        try:
            year, month, day, hour = int(cells[0]), int(cells[1]), int(cells[2]), int(cells[3])
            rows.add(line, datetime(year, month, day, hour), _tenths(cells[4]), _tenths(cells[5]))
        except IndexError:
            rows.reject(line, f"{len(cells)} columns, 12 expected")
        except (ValueError, OverflowError) as error:
            rows.reject(line, error)
    place = WeatherPlace(name=station, station=station)
    return rows.as_file("ISD-Lite", f"ISD-Lite {station}".strip(), place, "UTC")


def _tenths(cell: str) -> float:
    value = int(cell)
    return NAN if value == MISSING else value / 10

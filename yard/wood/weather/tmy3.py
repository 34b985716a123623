"""TMY3: a station line, a line of column names, then one row an hour of a typical year."""

from itertools import islice

from yard.wood.weather.collecting import NAN, AirRows, degrees_or_none, feet_or_none, hour_ending, number
from yard.wood.weather.opening import csv_rows, text_of
from yard.wood.weather.weather_file import CannotReadWeather, WeatherFile, WeatherPlace

COLUMNS = {
    "date": "Date (MM/DD/YYYY)",
    "time": "Time (HH:MM)",
    "temp": "Dry-bulb (C)",
    "dew": "Dew-point (C)",
    "rh": "RHum (%)",
}
MISSING = -9900.0
# TMY3-MANUAL, seen in a real file for other columns


def read_tmy3(content: bytes) -> WeatherFile:
    """Read a TMY3 file: temperature and humidity of every hour, local standard time.

    Times 01:00 to 24:00 are ends of hours; 24:00 stays in its own day. Each month comes from a different
    year, so the years are dropped.
    Errors: CannotReadWeather.
    Source: TMY3-MANUAL (layout), checked on real files; the missing code of these columns from memory.

    >>> head = b'726410,"TOWN",WI,-6.0,43.1,-89.3,262\\nDate (MM/DD/YYYY),Time (HH:MM),'
    >>> file = read_tmy3(head + b"Dry-bulb (C),Dew-point (C),RHum (%)\\n01/01/1988,24:00,10.0,6.1,77\\n")
    >>> str(file.hours.when[0]), float(file.hours.temp_f[0])
    ('2001-01-01T23:00', 50.0)
    """
    text, warnings = text_of(content)
    lines = csv_rows(text)
    place = _station(list(islice(lines, 1)))
    at = _columns(list(islice(lines, 1)))
    rows = AirRows(warnings=list(warnings))
    date_at, time_at, temp_at, dew_at, rh_at = (at[name] for name in COLUMNS)
    for line, cells in lines:
        try:
            month, day, year = cells[date_at].split("/")
            hour, minute = cells[time_at].split(":")
            if int(minute) != 0:
                raise ValueError(f"{cells[time_at]} is not a whole hour")
            when = hour_ending(int(year), int(month), int(day), int(hour))
            rows.add(line, when, _value(cells[temp_at]), _value(cells[dew_at]), _value(cells[rh_at]))
        except IndexError:
            rows.reject(line, f"only {len(cells)} columns")
        except ValueError as error:
            rows.reject(line, error)
    if not rows.when and not rows.bad_lines:
        raise CannotReadWeather("The TMY3 file ends after its header: no hours.")
    return rows.as_file("TMY3", f"TMY3 {place.name}", place, "local standard", typical=True)


def _value(cell: str) -> float:
    value = number(cell)
    return value if value > MISSING else NAN


def _station(first: list[tuple[int, list[str]]]) -> WeatherPlace:
    cells = first[0][1] if first else []
    if len(cells) < 7:
        raise CannotReadWeather("A TMY3 file begins with a station line of seven cells; this one does not.")
    try:
        offset, lat, lon, metres = (number(cell) for cell in cells[3:7])
    except ValueError as error:
        raise CannotReadWeather(f"The station line of the TMY3 file is damaged: {error}.") from None
    return WeatherPlace(
        name=", ".join(part for part in (cells[1].strip(), cells[2].strip()) if part),
        station=cells[0].strip(),
        lat_deg=degrees_or_none(lat, 90),
        lon_deg=degrees_or_none(lon, 180),
        elevation_ft=feet_or_none(metres),
        utc_offset_h=offset if abs(offset) <= 14 else None,
    )


def _columns(second: list[tuple[int, list[str]]]) -> dict[str, int]:
    names = [cell.strip() for cell in second[0][1]] if second else []
    missing = [name for name in COLUMNS.values() if name not in names]
    if missing:
        raise CannotReadWeather(f"The second line of a TMY3 file names its columns; {missing[0]!r} is not there.")
    return {key: names.index(name) for key, name in COLUMNS.items()}

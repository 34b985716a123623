"""EPW: eight header lines, then one row an hour with 35 columns, hours 1 to 24 of local standard time."""

from itertools import islice

from yard.wood.weather.collecting import NAN, AirRows, degrees_or_none, feet_or_none, hour_ending, number
from yard.wood.weather.opening import csv_rows, text_of
from yard.wood.weather.weather_file import CannotReadWeather, WeatherFile, WeatherPlace

HEADER_LINES = 8
MISSING_TEMP_C = 99.9
MISSING_RH_PCT = 999.0
# EPW-DICTIONARY, fields "Dry bulb temperature", "Dew point temperature", "Relative humidity"

TYPICAL_WORDS = ("TMY", "IWEC", "CWEC", "CTZ", "TRY", "IGDG", "SWEC", "RMY", "ISHRAE", "CSWD")
# marks of made-up years in the header's source field (from memory)


def read_epw(content: bytes) -> WeatherFile:
    """Read an EPW file: temperature and humidity of every hour, local standard time.

    Hour n of a day stands for the hour that ends then, so 24 stays in its own day. A file whose months come
    from several years, or whose header says so, is a typical year.
    Errors: CannotReadWeather.
    Source: EPW-DICTIONARY (layout and missing codes), checked on real files.

    >>> head = b"LOCATION,Town,WI,USA,TMY3,726410,43.1,-89.3,-6.0,262.0\\n" + b"x\\n" * 7
    >>> file = read_epw(head + b"1999,1,1,1,0,flags,-10.0,-12.5,82,98000\\n")
    >>> float(file.hours.temp_f[0]), float(file.hours.rh_pct[0]), file.place.name, file.typical
    (14.0, 82.0, 'Town, WI, USA', True)
    """
    text, warnings = text_of(content)
    lines = csv_rows(text)
    place, source, typical = _location(list(islice(lines, 1)))
    for _ in islice(lines, HEADER_LINES - 1):
        pass
    rows = AirRows(warnings=list(warnings))
    years = set()
    for line, cells in lines:
        try:
            year = int(cells[0])
            when = hour_ending(year, int(cells[1]), int(cells[2]), int(cells[3]))
            temp, dew_point, rh_pct = number(cells[6]), number(cells[7]), number(cells[8])
            rows.add(
                line,
                when,
                temp if temp < MISSING_TEMP_C else NAN,
                dew_point if dew_point < MISSING_TEMP_C else NAN,
                rh_pct if rh_pct < MISSING_RH_PCT else NAN,
            )
            years.add(year)
        except IndexError:
            rows.reject(line, f"{len(cells)} columns, 35 expected")
        except ValueError as error:
            rows.reject(line, error)
    if not rows.when and not rows.bad_lines:
        raise CannotReadWeather("The EPW file ends after its header: no hours.")
    return rows.as_file("EPW", source, place, "local standard", typical=typical or len(years) > 2)


def _location(first: list[tuple[int, list[str]]]) -> tuple[WeatherPlace, str, bool]:
    cells = first[0][1] if first else []
    if not cells or cells[0].strip().upper() != "LOCATION":
        raise CannotReadWeather("An EPW file begins with a LOCATION line; this one does not.")
    if len(cells) < 10:
        raise CannotReadWeather(f"The LOCATION line has {len(cells)} cells; an EPW file has 10.")
    try:
        lat, lon, offset, metres = (number(cell) for cell in cells[6:10])
    except ValueError as error:
        raise CannotReadWeather(f"The LOCATION line of the EPW file is damaged: {error}.") from None
    place = WeatherPlace(
        name=", ".join(part for part in (cell.strip() for cell in cells[1:4]) if part and part != "-"),
        station=cells[5].strip(),
        lat_deg=degrees_or_none(lat, 90),
        lon_deg=degrees_or_none(lon, 180),
        elevation_ft=feet_or_none(metres),
        utc_offset_h=offset if abs(offset) <= 14 else None,
    )
    source = cells[4].strip()
    typical = any(word in source.upper() for word in TYPICAL_WORDS)
    return place, f"EPW {source} {place.name}".strip(), typical

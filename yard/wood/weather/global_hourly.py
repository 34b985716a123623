"""Global Hourly (the Integrated Surface Database as CSV): quoted cells, coded values, UTC."""

from datetime import UTC, datetime

from yard.wood.weather.collecting import NAN, AirRows, place_of
from yard.wood.weather.opening import csv_rows, text_of
from yard.wood.weather.weather_file import CannotReadWeather, WeatherFile

MISSING = "9999"
# ISD-FORMAT, air temperature and dew point: +9999
SUSPECT_CODES = frozenset("2367")
# ISD-FORMAT: 2 and 6 suspect, 3 and 7 erroneous; the others passed a check or were corrected (from memory)
SUMMARIES = frozenset({"SOD", "SOM"})
# report types of daily and monthly summaries, which carry no reading


def read_global_hourly(content: bytes) -> WeatherFile:
    """Read a Global Hourly CSV: temperature, and humidity from the dew point, times in UTC.

    Values that the archive itself marks as suspect or wrong are taken as missing and counted.
    Errors: CannotReadWeather.
    Source: ISD-FORMAT (codes), column names seen in sample rows.

    >>> file = read_global_hourly(b'"STATION","DATE","REPORT_TYPE","TMP","DEW"\\n'
    ...     b'"72503014732","2024-01-01T00:53:00","FM-15","+0050,5","+0020,5"\\n')
    >>> float(file.hours.temp_f[0]), round(float(file.hours.rh_pct[0]), 1)
    (41.0, 80.9)
    """
    text, warnings = text_of(content)
    lines = csv_rows(text)
    names = [cell.strip().upper() for cell in next(lines, (0, []))[1]]
    for needed in ("STATION", "DATE", "TMP", "DEW"):
        if needed not in names:
            raise CannotReadWeather(f"A Global Hourly file has a column {needed}; this one has none.")
    at = {name: names.index(name) for name in names}
    rows = AirRows(warnings=list(warnings))
    suspects = 0
    first: list[str] = []
    for line, cells in lines:
        try:
            if "REPORT_TYPE" in at and cells[at["REPORT_TYPE"]].strip() in SUMMARIES:
                continue
            temp, temp_suspect = _coded(cells[at["TMP"]])
            dew_point, dew_suspect = _coded(cells[at["DEW"]])
            when = datetime.fromisoformat(cells[at["DATE"]].strip())
            when = when.astimezone(UTC).replace(tzinfo=None) if when.tzinfo else when
            rows.add(line, when, temp, dew_point)
            suspects += temp_suspect + dew_suspect
            first = first or cells
        except IndexError:
            rows.reject(line, f"only {len(cells)} columns")
        except (ValueError, OverflowError) as error:
            rows.reject(line, error)
    if suspects:
        rows.warnings.append(f"{suspects:,} values marked as suspect by the archive: taken as missing.")
    place = place_of(first, at)
    return rows.as_file("Global Hourly", f"Global Hourly {place.name or place.station}".strip(), place, "UTC")


def _coded(cell: str) -> tuple[float, bool]:
    """Return the value [°C] of a cell such as "+0050,5", and whether the archive calls it suspect."""
    text = cell.strip()
    if not text:
        return NAN, False
    value, _, quality = text.partition(",")
    if value.lstrip("+-") == MISSING:
        return NAN, False
    tenths = int(value) / 10
    return (NAN, True) if quality.strip() in SUSPECT_CODES else (tenths, False)

"""Local Climatological Data CSV, both versions: the same column names, other units, local standard time."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from yard.wood.weather.collecting import NAN, AirRows, number, place_of
from yard.wood.weather.days import day_of
from yard.wood.weather.opening import csv_rows, text_of
from yard.wood.weather.weather_file import CannotReadWeather, WeatherDay, WeatherFile

TEMP, DEW, RH = "HourlyDryBulbTemperature", "HourlyDewPointTemperature", "HourlyRelativeHumidity"
DAY_TEMP, DAY_RH = "DailyAverageDryBulbTemperature", "DailyAverageRelativeHumidity"
# LCD-DOC: columns of the hourly rows and of the summary-of-day rows

OTHER_SUMMARIES = frozenset({"SOM"})

Unit = Literal["C", "F"]


@dataclass
class _Suspects:
    count: int = 0


@dataclass
class _Read:
    """The raw figures of a file, before its unit of temperature is known."""

    hours: list[tuple[int, datetime, float, float, float]] = field(default_factory=list)
    days: list[tuple[datetime, float, float]] = field(default_factory=list)
    bad: list[tuple[int, str]] = field(default_factory=list)
    suspects: _Suspects = field(default_factory=_Suspects)
    has_tenths: bool = False
    first: list[str] = field(default_factory=list)


def read_lcd(content: bytes, unit: Unit | None = None) -> WeatherFile:
    """Read an LCD file of either version: hourly temperature and humidity, and the station's own day means.

    Version 1 gives whole °F, version 2 °C in tenths, under the same names: the unit is told from the figures
    and the station's number, or given by `unit`. Suspect values (suffix s) and M are missing.
    Errors: CannotReadWeather.
    Source: LCD-DOC (names, flags), column sets of both versions seen in files.

    >>> file = read_lcd(b'"STATION","DATE","REPORT_TYPE","HourlyDryBulbTemperature",'
    ...     b'"HourlyRelativeHumidity"\\n"72219013874","2019-01-01T00:52:00","FM-15","50","77"\\n')
    >>> float(file.hours.temp_f[0]), float(file.hours.rh_pct[0]), file.format
    (50.0, 77.0, 'LCD version 1')
    """
    text, warnings = text_of(content)
    lines = csv_rows(text)
    names = [cell.strip() for cell in next(lines, (0, []))[1]]
    for needed in ("STATION", "DATE", TEMP):
        if needed not in names:
            raise CannotReadWeather(f"An LCD file has a column {needed}; this one has none.")
    at = {name: names.index(name) for name in names}
    read = _Read()
    for line, cells in lines:
        try:
            _read_row(read, at, line, cells)
        except IndexError:
            read.bad.append((line, f"only {len(cells)} columns"))
        except ValueError as error:
            read.bad.append((line, str(error)))
    place = place_of(read.first, at)
    told, why = _unit(read, place.station)
    rows = AirRows(unit=unit or told, warnings=[*warnings] if unit else [*warnings, why])
    for line, when, temp, dew_point, rh_pct in read.hours:
        rows.add(line, when, temp, dew_point, rh_pct)
    for line, reason in read.bad:
        rows.reject(line, reason)
    if read.suspects.count:
        rows.warnings.append(f"{read.suspects.count:,} values marked as suspect: taken as missing.")
    version = "LCD version 1" if rows.unit == "F" else "LCD version 2"
    file = rows.as_file(version, f"LCD {place.name or place.station}".strip(), place, "local standard")
    return WeatherFile(
        file.format, file.source, file.place, file.time_basis, file.hours,
        _own_days(read, rows.unit), False, file.warnings,
    )  # fmt: skip


def _read_row(read: _Read, at: dict[str, int], line: int, cells: list[str]) -> None:
    report = cells[at["REPORT_TYPE"]].strip() if "REPORT_TYPE" in at else ""
    if report in OTHER_SUMMARIES:
        return
    when = datetime.fromisoformat(cells[at["DATE"]].strip()).replace(tzinfo=None)
    if not 1850 <= when.year <= 2150:
        raise ValueError(f"the year {when.year} is not believable")

    def value(name: str) -> float:
        return _flagged(cells[at[name]], read.suspects) if name in at else NAN

    if report == "SOD":
        read.days.append((when, value(DAY_TEMP), value(DAY_RH)))
        return
    temp, dew_point, rh_pct = value(TEMP), value(DEW), value(RH)
    read.hours.append((line, when, temp, dew_point, rh_pct))
    read.has_tenths = read.has_tenths or "." in cells[at[TEMP]]
    read.first = read.first or cells


def _flagged(cell: str, suspects: _Suspects) -> float:
    text = cell.strip().rstrip("*")
    if text in ("", "M", "T", "VRB"):
        return NAN
    if text[-1] in "sS":
        suspects.count += 1
        return NAN
    return number(text)


def _unit(read: _Read, station: str) -> tuple[Unit, str]:
    """Return the unit of temperature told from the figures and the station's number, and why."""
    numeric = station.isdigit()
    if read.has_tenths:
        return "C", "Temperatures come in tenths, so they were read as °C."
    temps = [temp for _, _, temp, _, _ in read.hours if temp == temp]
    if not numeric and temps and max(temps) <= 50:
        return (
            "C",
            "No temperature has tenths; they were read as °C because of the station's number. Check it.",
        )
    return "F", "Temperatures come in whole degrees, so they were read as °F."


def _own_days(read: _Read, unit: Unit) -> tuple[WeatherDay, ...]:
    """Return the station's own day means where a summary row has both temperature and humidity."""
    found = {}
    for when, temp, rh_pct in read.days:
        temp_f = temp if unit == "F" else temp * 1.8 + 32
        if temp == temp and 1 <= rh_pct <= 100 and -130 <= temp_f <= 140:
            found[when.date()] = day_of(when.date(), temp_f, rh_pct, 24, "measured", "the station's own day mean")
    return tuple(found[day] for day in sorted(found))

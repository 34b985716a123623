"""GHCN-Daily: day figures of temperature, rarely of humidity; fixed-width months, long CSV or wide CSV."""

import re
from collections.abc import Iterable
from datetime import date
from typing import Literal

from yard.wood.weather.collecting import number, place_of
from yard.wood.weather.ghcn_days import USED, Elements, Unit, days_from_elements
from yard.wood.weather.opening import csv_rows, text_of
from yard.wood.weather.weather_file import CannotReadWeather, WeatherFile

DLY_MISSING = -9999
# GHCND-README, section III
DLY_LINE = re.compile(r"^[A-Z]{2}[A-Z0-9_-]{9}\d{4}(0[1-9]|1[0-2])[A-Z0-9]{4}")
LONG_ID = re.compile(r"^[A-Z]{2}[A-Z0-9_-]{9}$")

TENTHS = frozenset({"TMAX", "TMIN", "TAVG", "ADPT"})

Shape = Literal["dly", "long", "wide"]


def read_ghcn_daily(content: bytes, unit: Unit | None = None) -> WeatherFile:
    """Read a GHCN-Daily file of one station, in any of its three shapes.

    Day temperature is TAVG, else the middle of TMAX and TMIN; humidity is RHAV, else from the mean dew point
    ADPT, else missing (most stations measure none). Figures that failed the archive's check are left out.
    `unit` says how the wide CSV writes temperatures where it cannot be told from the figures.
    Errors: CannotReadWeather, also for a file of several stations.
    Source: GHCND-README (fields, flags, missing code), GHCND-BY-STATION (long CSV).

    >>> rows = b"USW00014837,20240101,TMAX,50,,,W,2400\\nUSW00014837,20240101,TMIN,-50,,,W,2400\\n"
    >>> day = read_ghcn_daily(rows).days[0]
    >>> day.temp_f, day.rh_pct, day.humidity_from
    (32.0, None, 'none')
    """
    text, warnings = text_of(content)
    shape = shape_of(text)
    elements = Elements()
    told: Unit = "tenths C"
    if shape == "dly":
        _read_dly(text, elements)
    elif shape == "long":
        _read_long(text, elements)
    else:
        _read_wide(text, elements)
        told = unit or _unit_of(elements)
        warnings = (*warnings, f"Temperatures were read as {_UNIT_WORDS[told]}.")
    if len(elements.stations) > 1:
        raise CannotReadWeather(
            f"The file holds {len(elements.stations)} stations; give one station's file (the first is "
            f"{next(iter(elements.stations))})."
        )
    return days_from_elements(elements, told, warnings)


_UNIT_WORDS = {"tenths C": "tenths of °C", "C": "°C", "F": "°F"}


def shape_of(text: str) -> Shape:
    """Return which of the three shapes a GHCN-Daily text has.

    Errors: CannotReadWeather when it has none.

    >>> shape_of("USW00014837,20240101,TMAX,50,,,W,")
    'long'
    """
    first = text.lstrip().split("\n", 1)[0]
    if DLY_LINE.match(first):
        return "dly"
    cells = [cell.strip().strip('"') for cell in first.split(",")]
    if len(cells) >= 4 and LONG_ID.match(cells[0]) and cells[1].isdigit() and len(cells[1]) == 8:
        return "long"
    upper = {cell.upper() for cell in cells}
    if {"ID", "DATE", "ELEMENT"} <= upper:
        return "long"
    if {"STATION", "DATE"} <= upper and upper & {"TMAX", "TMIN", "TAVG"}:
        return "wide"
    raise CannotReadWeather("This is none of the three shapes of a GHCN-Daily file.")


def _read_dly(text: str, into: Elements) -> None:
    for line, row in enumerate(text.splitlines(), start=1):
        if not row.strip():
            continue
        if not DLY_LINE.match(row):
            into.bad.append(f"line {line}: no month of a station")
            continue
        element = row[17:21]
        if element not in USED:
            continue
        into.stations[row[:11]] += 1
        year, month = int(row[11:15]), int(row[15:17])
        for number_of_day in range(1, 32):
            begin = 21 + (number_of_day - 1) * 8
            cell, flags = row[begin : begin + 5], row[begin + 5 : begin + 8]
            if not cell.strip():
                into.bad.append(f"line {line}: cut off at day {number_of_day}")
                break
            try:
                value = int(cell)
                if value != DLY_MISSING:
                    _keep_checked(into, date(year, month, number_of_day), element, value, flags[1:2])
            except ValueError as error:
                into.bad.append(f"line {line}: {error}")


def _keep_checked(into: Elements, day: date, element: str, value: float, quality_flag: str) -> None:
    if quality_flag.strip():
        into.failed += 1
    else:
        into.keep(day, element, value)


def _read_long(text: str, into: Elements) -> None:
    for line, cells in csv_rows(text):
        if cells[0].strip().upper() == "ID":
            continue
        try:
            element = cells[2].strip()
            if element not in USED:
                continue
            stamp = cells[1].strip()
            day = date(int(stamp[:4]), int(stamp[4:6]), int(stamp[6:8]))
            value = number(cells[3])
            flag = cells[5] if len(cells) > 5 else ""
            into.stations[cells[0].strip()] += 1
            if value == value and value != DLY_MISSING:
                _keep_checked(into, day, element, value, flag)
        except IndexError:
            into.bad.append(f"line {line}: only {len(cells)} columns")
        except ValueError as error:
            into.bad.append(f"line {line}: {error}")


def _read_wide(text: str, into: Elements) -> None:
    lines = csv_rows(text)
    names = [cell.strip().upper() for cell in next(lines)[1]]
    at = {name: names.index(name) for name in names}
    used = [name for name in names if name in USED]
    for line, cells in lines:
        try:
            into.stations[cells[at["STATION"]].strip()] += 1
            day = date.fromisoformat(cells[at["DATE"]].strip()[:10])
            for element in used:
                value = number(cells[at[element]])
                if element in TENTHS and "." in cells[at[element]]:
                    into.has_decimals = True
                if value == value and value not in (DLY_MISSING, 9999):
                    _keep_checked(into, day, element, value, _wide_flag(cells, at, element))
            if not into.place.station:
                into.place = place_of(cells, at)
        except IndexError:
            into.bad.append(f"line {line}: only {len(cells)} columns")
        except ValueError as error:
            into.bad.append(f"line {line}: {error}")


def _wide_flag(cells: list[str], at: dict[str, int], element: str) -> str:
    """Return the quality flag: the second part of the attributes "measurement,quality,source"."""
    where = at.get(f"{element}_ATTRIBUTES")
    parts = cells[where].split(",") if where is not None and where < len(cells) else []
    return parts[1] if len(parts) > 1 else ""


def _unit_of(elements: Elements) -> Unit:
    """Return how a wide CSV writes temperatures, told from the figures themselves.

    Decimals mean °C. In whole numbers the span of a day tells: about 5 to 15 °C, so 50 to 150 tenths, but 10
    to 30 °F (common practice, no source).
    """
    if elements.has_decimals:
        return "C"
    temps = [v for day in elements.days.values() for name, v in day.items() if name in TENTHS]
    spans = _spans(elements.days.values())
    if spans:
        return "tenths C" if sum(spans) / len(spans) > 40 else "F"
    return "tenths C" if any(abs(value) > 130 for value in temps) else "F"


def _spans(days: Iterable[dict[str, float]]) -> list[float]:
    return [day["TMAX"] - day["TMIN"] for day in days if "TMAX" in day and "TMIN" in day]

"""The days of a GHCN-Daily file from its elements: mean temperature, humidity where there is any."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

import numpy as np

from yard.wood.weather.days import day_of
from yard.wood.weather.dew_point import rh_pct_of_readings
from yard.wood.weather.weather_file import (
    CannotReadWeather,
    HumidityFrom,
    WeatherDay,
    WeatherFile,
    WeatherPlace,
)

USED = frozenset({"TMAX", "TMIN", "TAVG", "RHAV", "ADPT"})
# GHCND-README, section III: tenths of °C; RHAV in whole %

Unit = Literal["tenths C", "C", "F"]


@dataclass
class Elements:
    """Raw figures by day and element, with what had to be left out."""

    days: dict[date, dict[str, float]] = field(default_factory=dict)
    bad: list[str] = field(default_factory=list)
    failed: int = 0
    stations: Counter[str] = field(default_factory=Counter)
    place: WeatherPlace = field(default_factory=WeatherPlace)
    has_decimals: bool = False

    def keep(self, day: date, element: str, value: float) -> None:
        """Keep one figure of one day."""
        if not 1700 <= day.year <= 2150:
            raise ValueError(f"the year {day.year} is not believable")
        self.days.setdefault(day, {})[element] = value


def days_from_elements(elements: Elements, unit: Unit, warnings: tuple[str, ...]) -> WeatherFile:
    """Return the WeatherFile of the elements of one station; `read_ghcn_daily` calls it.

    Errors: CannotReadWeather when no day has a temperature, or most rows were bad.

    >>> elements = Elements()
    >>> elements.keep(date(2024, 1, 1), "TAVG", 100.0)
    >>> days_from_elements(elements, "tenths C", ()).days[0].temp_f
    50.0
    """
    days = []
    middles = 0
    for day in sorted(elements.days):
        row, middle = _day(day, elements.days[day], unit)
        if row is not None:
            days.append(row)
            middles += middle
    if not days:
        raise CannotReadWeather("The GHCN-Daily file has no day with a temperature.")
    if len(elements.bad) > len(elements.days):
        raise CannotReadWeather(f"Most of the file are no GHCN-Daily rows ({elements.bad[0]}).")
    said = [*warnings]
    if middles:
        said.append(f"{middles:,} days have no mean temperature; the middle of highest and lowest is used.")
    dry = sum(one.rh_pct is None for one in days)
    if dry:
        said.append(f"{dry:,} of {len(days):,} days have no humidity; the usual humidity of the season is needed.")
    if elements.failed:
        said.append(f"{elements.failed:,} figures failed the archive's own check and were left out.")
    if elements.bad:
        said.append(f"{len(elements.bad):,} rows left out: {'; '.join(elements.bad[:5])}.")
    station = next(iter(elements.stations), "")
    place = elements.place if elements.place.station else WeatherPlace(station=station)
    source = f"GHCN-Daily {place.name or place.station}".strip()
    return WeatherFile("GHCN-Daily", source, place, "local standard", days=tuple(days), warnings=tuple(said))


def _day(day: date, row: dict[str, float], unit: Unit) -> tuple[WeatherDay | None, bool]:
    """Return one day, and whether its temperature is only the middle of the extremes."""
    temp_c = _temp_c(row.get("TAVG"), unit)
    middle = False
    if temp_c is None:
        high, low = _temp_c(row.get("TMAX"), unit), _temp_c(row.get("TMIN"), unit)
        if high is None or low is None or high < low:
            return None, False
        temp_c, middle = (high + low) / 2, True
    rh_pct, humidity_from = _humidity(row, temp_c, unit)
    note = "middle of the day's highest and lowest" if middle else ""
    return day_of(day, temp_c * 1.8 + 32, rh_pct, 24, humidity_from, note), middle


def _temp_c(value: float | None, unit: Unit) -> float | None:
    if value is None:
        return None
    temp_c = value / 10 if unit == "tenths C" else (value - 32) / 1.8 if unit == "F" else value
    return temp_c if -90 <= temp_c <= 60 else None


def _humidity(row: dict[str, float], temp_c: float, unit: Unit) -> tuple[float | None, HumidityFrom]:
    measured = row.get("RHAV")
    if measured is not None and 1 <= measured <= 100:
        return measured, "measured"
    dew_point_c = _temp_c(row.get("ADPT"), unit)
    if dew_point_c is None:
        return None, "none"
    derived = float(rh_pct_of_readings(np.array([temp_c]), np.array([dew_point_c]))[0])
    return (derived, "dew point") if derived == derived else (None, "none")

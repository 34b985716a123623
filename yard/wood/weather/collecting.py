"""Collect the rows of a weather file: what is missing, what is impossible, which lines were bad."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from yard.wood.weather.dew_point import rh_pct_of_readings
from yard.wood.weather.weather_file import (
    CannotReadWeather,
    Floats,
    HourlyAir,
    HumidityFrom,
    Minutes,
    TimeBasis,
    WeatherFile,
    WeatherPlace,
)

NAN = math.nan
SHOWN_LINES = 5
FIRST_YEAR, LAST_YEAR = 1850, 2150
# instrument records begin about the first; a year beyond the last is a misread row (our own limits)

COLDEST_C, HOTTEST_C = -90.0, 60.0
# outside the coldest and hottest air ever observed (-89.2 and 56.7 °C, WMO-RECORDS, from memory)
DRIEST_RH_PCT, WETTEST_RH_PCT = 1.0, 110.0
# a reading of 0 is a failed sensor; EPW allows up to 110, over 100 is taken as 100 (EPW-DICTIONARY)


def number(text: str) -> float:
    """Return the number in a cell, NaN for a blank one.

    Errors: ValueError for anything else, also for "nan" and "inf".

    >>> number(" -12.5 ")
    -12.5
    """
    cell = text.strip()
    if not cell:
        return NAN
    value = float(cell)
    if "_" in cell or not math.isfinite(value):
        raise ValueError(f"{cell!r} is not a number")
    return value


def feet_or_none(metres: float) -> float | None:
    """Return an elevation in feet from metres; None for a missing code.

    >>> round(feet_or_none(100.0), 1)
    328.1
    """
    return metres / 0.3048 if math.isfinite(metres) and -500 < metres < 9000 else None


def degrees_or_none(value: float, limit: float) -> float | None:
    """Return a latitude (limit 90) or longitude (limit 180); None for a missing code.

    >>> degrees_or_none(999.0, 90) is None
    True
    """
    return value if math.isfinite(value) and abs(value) <= limit else None


def place_of(cells: list[str], at: dict[str, int]) -> WeatherPlace:
    """Return the place in a row of NOAA's CSV files, as far as its columns say; `at` is name to position.

    >>> place_of(["72641014837", "43.14", "999"], {"STATION": 0, "LATITUDE": 1, "LONGITUDE": 2}).lon_deg is None
    True
    """
    return WeatherPlace(
        name=_cell(cells, at, "NAME"),
        station=_cell(cells, at, "STATION"),
        lat_deg=degrees_or_none(_value(cells, at, "LATITUDE"), 90),
        lon_deg=degrees_or_none(_value(cells, at, "LONGITUDE"), 180),
        elevation_ft=feet_or_none(_value(cells, at, "ELEVATION")),
    )


def _cell(cells: list[str], at: dict[str, int], name: str) -> str:
    return cells[at[name]].strip() if name in at and at[name] < len(cells) else ""


def _value(cells: list[str], at: dict[str, int], name: str) -> float:
    try:
        return number(_cell(cells, at, name))
    except ValueError:
        return NAN


Block = tuple[NDArray[np.int_], Minutes, Floats, Floats, Floats]
"""Line numbers, times, temperatures, dew points and humidities of rows that came together."""


@dataclass
class AirRows:
    """The rows of one file as they come, in degrees C or F, `to_the` minute or second; `as_file` closes it."""

    unit: Literal["C", "F"] = "C"
    coldest_c: float = COLDEST_C
    hottest_c: float = HOTTEST_C
    to_the: Literal["m", "s"] = "m"
    lines: list[int] = field(default_factory=list)
    when: list[datetime] = field(default_factory=list)
    temps: list[float] = field(default_factory=list)
    dew_points: list[float] = field(default_factory=list)
    humidities: list[float] = field(default_factory=list)
    bad_lines: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)

    def add(self, line: int, when: datetime, temp: float, dew_point: float = NAN, rh_pct: float = NAN) -> None:
        """Keep one reading; NaN where the file has none."""
        if not FIRST_YEAR <= when.year <= LAST_YEAR:
            raise ValueError(f"the year {when.year} is not believable")
        self.lines.append(line)
        self.when.append(when)
        self.temps.append(temp)
        self.dew_points.append(dew_point)
        self.humidities.append(rh_pct)

    def add_many(self, lines: Sequence[int], when: Minutes, temps: Floats, humidities: Floats | None) -> bool:
        """Keep many readings without dew points, or none of them where a year is not believable; says which."""
        years = when.astype("datetime64[Y]").astype(int) + 1970
        if not FIRST_YEAR <= int(years.min()) <= int(years.max()) <= LAST_YEAR:
            return False
        self._close_block()
        nothing = np.full(len(when), np.nan)
        block = (np.asarray(lines), when.astype(f"datetime64[{self.to_the}]"), temps, nothing)
        self.blocks.append((*block, nothing if humidities is None else humidities))
        return True

    def reject(self, line: int, why: object) -> None:
        """Note a row that could not be read."""
        self.bad_lines.append(f"line {line}: {why}")

    def as_file(
        self,
        format_name: str,
        source: str,
        place: WeatherPlace,
        time_basis: TimeBasis,
        *,
        typical: bool = False,
    ) -> WeatherFile:
        """Return the WeatherFile of the rows.

        Errors: CannotReadWeather when no row has a temperature, or more rows are bad than good.
        """
        self._close_block()
        lines, when, temps, dew_points, humidities = (np.concatenate(parts) for parts in zip(*self.blocks, strict=True))
        if len(self.bad_lines) > len(when):
            every = len(self.bad_lines) + len(when)
            raise CannotReadWeather(
                f"This is no {format_name} file: {len(self.bad_lines):,} of {every:,} rows cannot be read "
                f"({self.bad_lines[0]})."
            )
        temp_c, rh_pct, humidity_from = self._air(lines, temps, dew_points, humidities)
        if not np.isfinite(temp_c).any():
            raise CannotReadWeather(f"The {format_name} file has no row with a temperature.")
        keep = np.ones(len(when), dtype=bool)
        if typical:
            keep = np.array([(one.month, one.day) != (2, 29) for one in when.tolist()])
            when = _without_year(when)
            if not keep.all():
                self.warnings.append("29 February left out: a typical year has 365 days.")
        hours = HourlyAir(when[keep], temp_c[keep] * 1.8 + 32.0, rh_pct[keep], humidity_from)
        if self.bad_lines:
            self.warnings.append(f"{_rows(len(self.bad_lines))} left out: {_first(self.bad_lines)}.")
        return WeatherFile(
            format_name, source, place, time_basis, hours, typical=typical, warnings=tuple(self.warnings)
        )

    def _close_block(self) -> None:
        """What came one by one as columns behind those before."""
        temps, dew_points, humidities = (
            np.array(one, dtype=np.float64) for one in (self.temps, self.dew_points, self.humidities)
        )
        when = np.array(self.when, dtype=f"datetime64[{self.to_the}]")
        self.blocks.append((np.array(self.lines, dtype=np.int_), when, temps, dew_points, humidities))
        self.lines, self.when, self.temps, self.dew_points, self.humidities = [], [], [], [], []

    def _air(
        self, lines: NDArray[np.int_], temp: Floats, dew: Floats, measured: Floats
    ) -> tuple[Floats, Floats, HumidityFrom]:
        if self.unit == "F":
            temp, dew = (temp - 32.0) / 1.8, (dew - 32.0) / 1.8
        temp = self._within(lines, temp, self.coldest_c, self.hottest_c, "temperature", "°C")
        measured = self._within(lines, measured, DRIEST_RH_PCT, WETTEST_RH_PCT, "humidity", "%")
        measured = np.minimum(measured, 100.0)
        derived = rh_pct_of_readings(temp, dew)
        has_measured = np.isfinite(measured)
        use_derived = ~has_measured & np.isfinite(derived)
        humidity = np.where(has_measured, measured, derived)
        label: HumidityFrom = "none"
        if has_measured.any() and use_derived.any():
            label = "measured and dew point"
        elif has_measured.any():
            label = "measured"
        elif use_derived.any():
            label = "dew point"
        return temp, humidity, label

    def _within(
        self, lines: NDArray[np.int_], values: Floats, low: float, high: float, what: str, unit: str
    ) -> Floats:
        with np.errstate(invalid="ignore"):
            wrong = (values < low) | (values > high)
        if wrong.any():
            first = int(lines[int(np.argmax(wrong))])
            gap = "" if unit == "%" else " "
            self.warnings.append(
                f"{_rows(int(wrong.sum()))} with a {what} outside {low:g} to {high:g}{gap}{unit} "
                f"(first on line {first}): taken as missing."
            )
        return np.where(wrong, np.nan, values)


def _without_year(when: Minutes) -> Minutes:
    """Return the same days and hours of the placeholder year 2001."""
    year = when.astype("datetime64[Y]")
    into_year = when - year.astype("datetime64[m]")
    leap = ((year + 1).astype("datetime64[D]") - year.astype("datetime64[D]")).astype(int) == 366
    after_february = into_year >= np.timedelta64(60 * 24 * 60, "m")
    shift = np.where(leap & after_february, np.timedelta64(24 * 60, "m"), np.timedelta64(0, "m"))
    return np.asarray(np.datetime64("2001-01-01T00:00", "m") + into_year - shift)


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count:,} rows"


def _first(lines: list[str]) -> str:
    shown = "; ".join(lines[:SHOWN_LINES])
    more = len(lines) - SHOWN_LINES
    return f"{shown}; and {more:,} more" if more > 0 else shown


def hour_ending(year: int, month: int, day: int, hour: int) -> datetime:
    """Return the start of the hour that ends at `hour` (1 to 24) of that day.

    Errors: ValueError for a date or hour that does not exist.

    >>> hour_ending(1988, 12, 31, 24)
    datetime.datetime(1988, 12, 31, 23, 0)
    """
    if not 1 <= hour <= 24:
        raise ValueError(f"hour {hour} is not 1 to 24")
    try:
        return datetime(year, month, day) + timedelta(hours=hour - 1)
    except OverflowError as error:  # a figure that fits into no date at all
        raise ValueError(f"{year}-{month}-{day} is no day") from error

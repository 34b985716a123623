"""A sensor's own CSV: which column is what (remembered), a look at what it gives, and keeping it."""

from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np
from django.db import transaction
from django.utils import timezone

from yard.models import Sensor, SensorKind, Yard
from yard.quantities import temp
from yard.services.reading_clock import clock_says
from yard.services.reading_columns import ReadingColumns
from yard.services.readings import ReadingsTaken, readings_import
from yard.services.sensors import sensor_column_map_keep
from yard.services.weather import NoPlaceError, yard_climate
from yard.services.weather_preview import standard_offset_h
from yard.wood.climate import daily_climate
from yard.wood.ranges import OutsideRange
from yard.wood.weather.opening import csv_rows, text_of
from yard.wood.weather.sensor_csv import SensorColumns, delimiter_of, guess_columns, read_sensor_csv
from yard.wood.weather.weather_file import CannotReadWeather, WeatherFile

SHOWN_ROWS = 5
ODD_BY_F = 25.0  # °F: a mean so far from the season's usual one is asked about (our own limit)


@dataclass(frozen=True)
class SensorChoices:
    """Which column of a sensor's file is what, and how it is written; empty: it has none."""

    time: str = ""
    clock: str = ""
    temp: str = ""
    rh: str = ""
    wet_bulb: str = ""
    core: str = ""
    temp_unit: str = ""
    date_order: str = "ymd"
    decimal_comma: bool = False
    summer_time: bool = False

    def named(self) -> set[str]:
        """The columns that a file must have."""
        return {self.time, self.clock, self.temp, self.rh, self.wet_bulb, self.core} - {""}

    def columns(self, temp: str, rh: str, zone: str) -> SensorColumns:
        """The mapping that the reader takes, for one column of temperatures."""
        return SensorColumns(
            time=self.time, temp=temp, rh=rh or None, clock=self.clock or None, temp_unit=self.temp_unit,
            date_order=self.date_order, decimal_comma=self.decimal_comma, time_zone=zone if self.summer_time else None,
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class SensorPreview:
    """What a file gives by the choices made: readings in UTC, what was left out, what looks odd."""

    columns: ReadingColumns
    warnings: tuple[str, ...]
    odd: str

    @property
    def first_at(self) -> datetime:
        return self._moment(0)

    @property
    def last_at(self) -> datetime:
        return self._moment(-1)

    @property
    def rows(self) -> int:
        return len(self.columns)

    def _moment(self, place: int) -> datetime:
        return self.columns.at_utc[place].item().replace(tzinfo=UTC)

    def sample(self) -> list[dict[str, float | datetime | None]]:
        """The first rows as they would be kept."""
        some = self.columns.some(np.arange(min(SHOWN_ROWS, self.rows)))
        times = [when.replace(tzinfo=UTC) for when in some.at_utc.tolist()]
        return [
            {"at": at, **dict(zip(ReadingColumns.MEASURES, row, strict=True))}
            for at, row in zip(times, zip(*some.plain(), strict=True), strict=True)
        ]

    def spans(self) -> dict[str, tuple[float, float]]:
        """Lowest and highest of each measure that the file has."""
        found = {}
        for name in ReadingColumns.MEASURES:
            values = getattr(self.columns, name)
            if np.isfinite(values).any():
                found[name] = (float(np.nanmin(values)), float(np.nanmax(values)))
        return found


def sensor_file_names(content: bytes) -> list[str]:
    """The names of a file's columns. Errors: CannotReadWeather."""
    text, _ = text_of(content)
    cells = next(csv_rows(text, delimiter_of(text)), (0, []))[1]
    names = [cell.strip() for cell in cells]
    if len(names) < 2:
        raise CannotReadWeather("The file has one column alone: a time and a reading are needed at the least.")
    return names


def sensor_choices(sensor: Sensor, content: bytes) -> SensorChoices:
    """What was chosen for this sensor's files before, where it fits this one; else a guess to be looked at."""
    names = sensor_file_names(content)
    kept = SensorChoices(**sensor.column_map) if sensor.column_map else None
    if kept and kept.named() <= set(names):
        return kept
    try:
        guess = guess_columns(content)
    except CannotReadWeather:
        return SensorChoices()
    marked = any(sign in guess.temp for sign in ("C", "F", "°", "elsius", "ahrenheit"))
    choices = SensorChoices(
        time=guess.time, clock=guess.clock or "", temp=guess.temp, rh=guess.rh or "",
        temp_unit=guess.temp_unit if marked else "", date_order=guess.date_order, decimal_comma=guess.decimal_comma,
    )  # fmt: skip
    if sensor.kind == SensorKind.CORE:
        return replace(choices, core=choices.temp, temp="", rh="")
    return choices


def sensor_file_preview(*, sensor: Sensor, content: bytes, choices: SensorChoices, yard: Yard) -> SensorPreview:
    """Read a file by the choices. Errors: CannotReadWeather with a sentence that says what to do."""
    read = {}
    if choices.temp:
        read["temp_f"] = _read(content, choices, choices.temp, choices.rh, yard)
    if choices.wet_bulb:
        read["wet_bulb_f"] = _read(content, choices, choices.wet_bulb, "", yard)
    if choices.core:
        read["core_f"] = _read(content, choices, choices.core, "", yard)
    if not read:
        raise CannotReadWeather("Say which column is the temperature.")
    columns = _merged(read, yard)
    clock = clock_says(_utc(next(iter(read.values())), yard))
    if clock.believed_from is not None:
        columns = columns.some(columns.at_utc >= clock.believed_from)
    ahead = columns.at_utc > np.datetime64(timezone.now().astimezone(UTC).replace(tzinfo=None) + timedelta(hours=1))
    if ahead.any():
        raise CannotReadWeather(
            f"{int(ahead.sum()):,} of {len(columns):,} rows lie in the future, the last on "
            f"{columns.at_utc[-1].astype('datetime64[m]')}: look at the order of day and month, and at the year."
        )
    warnings = tuple(dict.fromkeys(words for file in read.values() for words in file.warnings))
    return SensorPreview(columns, warnings + clock.words, _odd(columns, yard))


@transaction.atomic
def sensor_file_keep(*, sensor: Sensor, preview: SensorPreview, choices: SensorChoices) -> ReadingsTaken:
    """Keep the readings, those that were known already once, and remember the choices."""
    taken = readings_import(sensor=sensor, columns=preview.columns)
    sensor_column_map_keep(sensor=sensor, column_map=asdict(choices))
    return taken


def _read(content: bytes, choices: SensorChoices, temp: str, rh: str, yard: Yard) -> WeatherFile:
    if choices.temp_unit not in ("C", "F"):
        raise CannotReadWeather("Say whether the temperatures are °C or °F.")
    return read_sensor_csv(content, choices.columns(temp, rh, yard.time_zone))


def _merged(read: dict[str, WeatherFile], yard: Yard) -> ReadingColumns:
    """One row a time, whichever of the columns have something then."""
    parts = {name: (_utc(file, yard), file.hours) for name, file in read.items()}
    times = np.unique(np.concatenate([at for at, _ in parts.values()]))
    measures = {name: np.full(len(times), np.nan) for name in ReadingColumns.MEASURES}
    for name, (at, hours) in parts.items():
        once, first = np.unique(at, return_index=True)
        places = np.searchsorted(times, once)
        measures[name][places] = hours.temp_f[first]
        if name == "temp_f":
            measures["rh_pct"][places] = hours.rh_pct[first]
    columns = ReadingColumns(times, **measures)
    given = np.zeros(len(times), dtype=bool)
    for values in measures.values():
        given |= np.isfinite(values)
    return columns.some(given)


def _utc(file: WeatherFile, yard: Yard) -> np.ndarray:
    at = file.hours.when.astype("datetime64[us]")
    if file.time_basis == "UTC":
        return at
    return at - np.timedelta64(round(standard_offset_h(yard) * 3600), "s")


def _odd(columns: ReadingColumns, yard: Yard) -> str:
    """A sentence where the temperatures are far from the season's: the unit is the usual reason."""
    temps = columns.temp_f[np.isfinite(columns.temp_f)]
    if not len(temps):
        return ""
    first, last = columns.at_utc[0].astype("datetime64[D]").item(), columns.at_utc[-1].astype("datetime64[D]").item()
    try:
        usual = daily_climate(yard_climate(yard), first, min((last - first).days + 1, 3660))
    except (NoPlaceError, OutsideRange):
        return ""
    mean, expected = float(temps.mean()), float(usual.temp_f.mean())
    if abs(mean - expected) < ODD_BY_F:
        return ""
    return (
        f"The file's mean is {temp(mean)}; outdoors it is usually about {temp(expected)} at that time of the year. "
        "Is the unit right? A kiln or a heated room is warmer, of course."
    )

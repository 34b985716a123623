"""A CSV of the yard's own sensor: which column is what is given by a mapping, or guessed from the names."""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from itertools import chain
from typing import Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from yard.wood.weather.collecting import NAN, AirRows, number
from yard.wood.weather.opening import csv_parts, csv_rows, text_of
from yard.wood.weather.quick_rows import AT_ONCE, quick_rows
from yard.wood.weather.weather_file import CannotReadWeather, TimeBasis, WeatherFile, WeatherPlace

DateOrder = Literal["ymd", "mdy", "dmy"]

SENSOR_COLDEST_C, SENSOR_HOTTEST_C = -60.0, 130.0
# what an electronic sensor in a yard or a kiln can show and mean (our own limits)

TIME_WORDS = ("timestamp", "datetime", "date", "time")
TEMP_WORDS = ("temp", "dry bulb", "drybulb", "t_", "°c", "°f")
RH_WORDS = ("humid", "rh", "hum")
STAMP = re.compile(
    r"(\d{1,4})[./-](\d{1,2})[./-](\d{1,4}),?"
    r"(?:[ T]+(\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?\s*([AaPp][Mm])?)?"
)
BLANKS = frozenset({"", "-", "--", "---", "n/a", "na", "nan", "null", "none", "error", "err", "unavailable"})


@dataclass(frozen=True)
class SensorColumns:
    """Which column of a sensor's CSV holds what, and how it is written.

    `time` and `temp` are column names; `rh` may be missing; `clock` is the second column where date and time
    stand apart. `time_zone` is an IANA name where the stamps follow the clock on the wall (with summer time);
    without it they are local standard time. `delimiter` None is told from the header.
    """

    time: str
    temp: str
    rh: str | None = None
    clock: str | None = None
    temp_unit: Literal["C", "F"] = "C"
    date_order: DateOrder = "ymd"
    decimal_comma: bool = False
    delimiter: str | None = None
    time_zone: str | None = None


def read_sensor_csv(content: bytes, columns: SensorColumns, name: str = "own sensor") -> WeatherFile:
    """Read a sensor's CSV by the mapping of its columns.

    Stamps may be ISO (with or without an offset), day or month first, with AM and PM, or seconds since 1970.
    Stamps with an offset, in a time zone, or in seconds since 1970 give a file in UTC; others one in local
    standard time.
    Errors: CannotReadWeather, also for an unknown time zone or a column that is not there.

    >>> file = read_sensor_csv(b"When;T;H\\n01.02.2024 10:00;-3,5;81\\n",
    ...     SensorColumns("When", "T", "H", date_order="dmy", decimal_comma=True))
    >>> str(file.hours.when[0]), round(float(file.hours.temp_f[0]), 1), float(file.hours.rh_pct[0])
    ('2024-02-01T10:00:00', 25.7, 81.0)
    """
    text, warnings = text_of(content)
    delimiter = columns.delimiter or delimiter_of(text)
    if len(delimiter) != 1 or delimiter in '\r\n" ':
        raise CannotReadWeather("A delimiter is one character, such as a comma, a semicolon or a tab.")
    parts = csv_parts(text, delimiter, AT_ONCE)
    heads, first = next(parts, ([], []))
    names = [cell.strip() for cell in first[0]] if first else []
    at = {key: _position(names, wanted) for key, wanted in _wanted(columns).items()}
    zone = _zone(columns.time_zone)
    wall = WallClock(zone) if zone else None
    rows = AirRows(columns.temp_unit, SENSOR_COLDEST_C, SENSOR_HOTTEST_C, "s", warnings=list(warnings))
    bases: set[TimeBasis] = set()
    quick = zone is None and "clock" not in at and not columns.decimal_comma
    for numbers, cells_of in chain([(heads[1:], first[1:])], parts):
        found = quick_rows(cells_of, at["time"], at["temp"], at.get("rh")) if quick and cells_of else None
        if found is not None and rows.add_many(numbers, found.when, found.temps, found.humidities):
            bases.add("UTC" if found.in_utc else "local standard")
            continue
        for line, cells in zip(numbers, cells_of, strict=True):
            try:
                when, basis = _to_utc(stamp_of(_stamp(cells, at), columns.date_order), wall)
                temp = _reading(cells[at["temp"]], columns.decimal_comma)
                rh_pct = _reading(cells[at["rh"]], columns.decimal_comma) if "rh" in at else NAN
                rows.add(line, when, temp, NAN, rh_pct)
                bases.add(basis)
            except IndexError:
                rows.reject(line, f"only {len(cells)} columns")
            except (ValueError, OverflowError) as error:
                rows.reject(line, error)
    if len(bases) > 1:
        raise CannotReadWeather("Some times have an offset from UTC and others have none: they cannot be ordered.")
    place = WeatherPlace(name=name, utc_offset_h=_standard_offset_h(zone))
    basis = bases.pop() if bases else "local standard"
    return rows.as_file("sensor CSV", name, place, basis)


def delimiter_of(text: str) -> str:
    """Return the delimiter of a CSV by its first line: semicolon, tab or comma.

    >>> delimiter_of("time;temp;rh")
    ';'
    """
    first = text.lstrip().split("\n", 1)[0]
    return max(";\t,|", key=lambda sign: (first.count(sign), sign == ","))


def guess_columns(content: bytes) -> SensorColumns:
    """Return a mapping guessed from the column names, to be shown and confirmed before it is used.

    Errors: CannotReadWeather when no column looks like a time or a temperature.

    >>> guess_columns(b"Timestamp,Temperature (F),Humidity (%)\\n")
    ... # doctest: +NORMALIZE_WHITESPACE
    SensorColumns(time='Timestamp', temp='Temperature (F)', rh='Humidity (%)', clock=None, temp_unit='F',
        date_order='ymd', decimal_comma=False, delimiter=',', time_zone=None)
    """
    text, _ = text_of(content)
    delimiter = delimiter_of(text)
    lines = csv_rows(text, delimiter)
    names = [cell.strip() for cell in next(lines, (0, []))[1]]
    sample = next(lines, (0, []))[1]
    time = _first_named(names, TIME_WORDS)
    others = [one for one in names if one != time]
    temp = _first_named([one for one in others if "dew" not in one.lower()], TEMP_WORDS)
    rh = _first_named([one for one in others if one != temp], RH_WORDS)
    if time is None or temp is None:
        raise CannotReadWeather("No column looks like a time and a temperature: say which is which.")
    clock = None
    if "date" in time.lower() and "time" not in time.lower():
        clock = next((one for one in others if one.lower().strip() in ("time", "clock", "hour")), None)
    value = sample[names.index(temp)] if len(sample) > names.index(temp) else ""
    fahrenheit = re.search(r"(°|\(|\[|_|\b)f(\)|\]|\b|$)", temp.lower()) is not None or "fahr" in temp.lower()
    return SensorColumns(
        time, temp, rh, clock,
        "F" if fahrenheit else "C",
        _date_order(sample[names.index(time)] if len(sample) > names.index(time) else ""),
        delimiter != "," and "," in value,
        delimiter,
    )  # fmt: skip


def stamp_of(text: str, order: DateOrder = "ymd") -> datetime:
    """Return the date and time of a stamp as people and machines write them.

    Errors: ValueError for what is no stamp.

    >>> stamp_of("1/2/2024 3:05 PM", "mdy")
    datetime.datetime(2024, 1, 2, 15, 5)
    """
    stamp = text.strip()
    if re.fullmatch(r"\d{10}(\d{3})?(\.\d+)?", stamp):
        seconds = float(stamp[:10])
        return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)
    if re.match(r"\d{4}-\d\d-\d\d", stamp) and stamp[-1:] not in "mM":
        return datetime.fromisoformat(stamp.replace(" UTC", "+00:00"))
    found = STAMP.fullmatch(stamp)
    if found is None:
        raise ValueError(f"{text!r} is no date and time")
    year, month, day = _year_month_day([found[1], found[2], found[3]], order)
    hour, minute, second = (int(found[place] or 0) for place in (4, 5, 6))
    if found[7]:
        if not 1 <= hour <= 12:
            raise ValueError(f"{text!r}: hour {hour} with AM or PM")
        hour = hour % 12 + (12 if found[7].lower() == "pm" else 0)
    return datetime(year, month, day, hour, minute, second)


def _year_month_day(parts: list[str], order: DateOrder) -> tuple[int, int, int]:
    if len(parts[0]) == 4:
        order = "ymd"
    one, two, three = (int(part) for part in parts)
    year, month, day = {"ymd": (one, two, three), "mdy": (three, one, two), "dmy": (three, two, one)}[order]
    return (2000 + year if year < 100 else year), month, day


def _date_order(sample: str) -> DateOrder:
    """Return the order of a date: a point between the parts is day first, a slash month first (COMMON)."""
    found = re.match(r"(\d{1,4})([./-])(\d{1,2})", sample.strip())
    if found is None or len(found[1]) == 4:
        return "ymd"
    if int(found[1]) > 12:
        return "dmy"
    if int(found[3]) > 12:
        return "mdy"
    return "dmy" if found[2] == "." else "mdy"


def _stamp(cells: list[str], at: dict[str, int]) -> str:
    """The stamp of a row, put together where date and time stand apart."""
    stamp = cells[at["time"]].strip()
    return f"{stamp} {cells[at['clock']].strip()}" if "clock" in at else stamp


def _wanted(columns: SensorColumns) -> dict[str, str]:
    wanted = {"time": columns.time, "temp": columns.temp, "rh": columns.rh, "clock": columns.clock}
    return {key: name for key, name in wanted.items() if name}


def _position(names: list[str], wanted: str) -> int:
    try:
        return names.index(wanted.strip())
    except ValueError:
        shown = ", ".join(repr(name) for name in names[:12])
        raise CannotReadWeather(f"There is no column {wanted!r}; the file has {shown}.") from None


def _first_named(names: list[str], words: tuple[str, ...]) -> str | None:
    for word in words:
        for name in names:
            if word in name.lower():
                return name
    return None


def _reading(cell: str, decimal_comma: bool) -> float:
    text = cell.strip().rstrip("%°CF ").strip()
    if text.lower() in BLANKS:
        return NAN
    return number(text.replace(".", "").replace(",", ".") if decimal_comma and "," in text else text)


def _zone(name: str | None) -> ZoneInfo | None:
    if not name:
        return None
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise CannotReadWeather(f"{name!r} is no time zone; one is written America/Chicago.") from None


def _standard_offset_h(zone: ZoneInfo | None) -> float | None:
    """Return a zone's hours from UTC without summer time."""
    if zone is None:
        return None
    january = datetime(2024, 1, 1, tzinfo=zone)
    return ((january.utcoffset() or timedelta(0)) - (january.dst() or timedelta(0))) / timedelta(hours=1)


class WallClock:
    """Stamps of a wall clock with summer time, in the order of their file: of an hour shown twice, which it is.

    The order tells: the hour that is gone back to is the second; in a file with the newest first it comes first.
    """

    def __init__(self, zone: ZoneInfo) -> None:
        self.zone = zone
        self.last: datetime | None = None
        self.newest_first: bool | None = None
        self.fold = 0
        self.goes_back = lru_cache(8)(self._goes_back)

    def in_utc(self, when: datetime) -> datetime:
        """The moment of the file's next stamp, without its zone."""
        last, self.last = self.last, when
        if self.newest_first is None and last is not None and when != last:
            self.newest_first = when < last
        if not self._shown_twice(when):
            self.fold = 1 if self.newest_first else 0
        elif last is not None and self._shown_twice(last) and when != last:
            back = when < last
            self.fold = (0 if not back else self.fold) if self.newest_first else (1 if back else self.fold)
        return when.replace(tzinfo=self.zone, fold=self.fold).astimezone(UTC).replace(tzinfo=None)

    def _shown_twice(self, when: datetime) -> bool:
        if not self.goes_back(when.date()):
            return False
        first, second = (when.replace(tzinfo=self.zone, fold=fold).utcoffset() for fold in (0, 1))
        return first is not None and second is not None and first > second

    def _goes_back(self, day: date) -> bool:
        """Whether the clocks go back on that day or in the night after it."""
        before, after = (
            datetime(day.year, day.month, day.day, 12, tzinfo=self.zone) + timedelta(days=n) for n in (-1, 1)
        )
        return before.utcoffset() != after.utcoffset()


def _to_utc(when: datetime, wall: WallClock | None) -> tuple[datetime, TimeBasis]:
    """Return a stamp in UTC, or a bare one as it is: local standard time."""
    if when.tzinfo is None and wall is not None:
        return wall.in_utc(when), "UTC"
    if when.tzinfo is None:
        return when, "local standard"
    return when.astimezone(UTC).replace(tzinfo=None), "UTC"

"""Sensor readings as columns: the clock of the yard, and the means of its days."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

import numpy as np

from yard.wood.humid_air import rh_pct_from_wet_bulb
from yard.wood.ranges import OutsideRange

CLOCKS_CHANGE_ON_S = 900  # the clocks of all zones of today change on a quarter of an hour of UTC


@dataclass(frozen=True, eq=False)
class ReadingColumns:
    """Readings of one sensor: times in UTC (datetime64, without zone), and what it gave; NaN for nothing."""

    at_utc: np.ndarray
    temp_f: np.ndarray
    rh_pct: np.ndarray
    wet_bulb_f: np.ndarray
    core_f: np.ndarray

    MEASURES: ClassVar = ("temp_f", "rh_pct", "wet_bulb_f", "core_f")

    def __len__(self) -> int:
        return len(self.at_utc)

    def some(self, which: np.ndarray | slice) -> "ReadingColumns":
        """Those rows alone."""
        return ReadingColumns(self.at_utc[which], *(getattr(self, name)[which] for name in self.MEASURES))

    def once(self) -> "ReadingColumns":
        """In the order of time, of each time the first row."""
        _, first = np.unique(self.at_utc, return_index=True)
        return self.some(first)

    def plain(self) -> list[list[float | None]]:
        """The measures as a database takes them: None for nothing."""
        columns = []
        for name in self.MEASURES:
            values = getattr(self, name)
            given = np.isfinite(values)
            plain = values.tolist()
            columns.append(plain if given.all() else [v if g else None for v, g in zip(plain, given, strict=True)])
        return columns


def utc_seconds(day: date, zone: ZoneInfo) -> datetime:
    """The moment at which a day begins on the yard's clock, in UTC."""
    return datetime.combine(day, time(), zone).astimezone(UTC)


def local_clock(at_utc: np.ndarray, zone: ZoneInfo) -> tuple[np.ndarray, np.ndarray]:
    """The day and the hour on the yard's clock of each moment."""
    seconds = at_utc.astype("datetime64[s]").astype(np.int64)
    slots, place = np.unique(seconds // CLOCKS_CHANGE_ON_S, return_inverse=True)
    offsets = np.array([_offset_s(int(slot) * CLOCKS_CHANGE_ON_S, zone) for slot in slots], dtype=np.int64)
    local = seconds + offsets[place] if len(seconds) else seconds
    days = (local // 86400).astype("datetime64[D]")
    return days, local % 86400 // 3600


def _offset_s(second: int, zone: ZoneInfo) -> int:
    offset = datetime.fromtimestamp(second, zone).utcoffset()
    return int(offset.total_seconds()) if offset else 0


def day_means(
    columns: ReadingColumns, days: np.ndarray, hours: np.ndarray, elevation_ft: float
) -> Iterator[dict[str, Any]]:
    """Average each day: by the hour first, so that a busy hour does not weigh more."""
    each_hour, hour_of_row = np.unique(days.astype(np.int64) * 24 + hours, return_inverse=True)
    each_day, day_of_hour = np.unique(each_hour // 24, return_inverse=True)
    temps = _means(day_of_hour, _means(hour_of_row, columns.temp_f, len(each_hour)), len(each_day))
    humidity = _means(hour_of_row, _humidity(columns, elevation_ft), len(each_hour))
    humidities = _means(day_of_hour, humidity, len(each_day))
    rows = np.bincount(day_of_hour[hour_of_row], minlength=len(each_day))
    counted = np.bincount(day_of_hour, minlength=len(each_day))
    for n, day in enumerate(each_day.astype("datetime64[D]").tolist()):
        yield {
            "day": day,
            "temp_f": _or_none(temps[n]),
            "rh_pct": _or_none(humidities[n]),
            "readings": int(rows[n]),
            "hours": int(counted[n]),
        }


def _humidity(columns: ReadingColumns, elevation_ft: float) -> np.ndarray:
    """Relative humidity as given, else from the two bulbs where the psychrometer can tell it."""
    humidity = columns.rh_pct.copy()
    wanted = np.isnan(humidity) & np.isfinite(columns.temp_f) & np.isfinite(columns.wet_bulb_f)
    if not wanted.any():
        return humidity
    dry, wet = columns.temp_f[wanted], columns.wet_bulb_f[wanted]
    try:
        humidity[wanted] = rh_pct_from_wet_bulb(dry, wet, elevation_ft)
    except OutsideRange:
        humidity[wanted] = [_one(d, w, elevation_ft) for d, w in zip(dry.tolist(), wet.tolist(), strict=True)]
    return humidity


def _one(dry_f: float, wet_f: float, elevation_ft: float) -> float:
    try:
        return rh_pct_from_wet_bulb(dry_f, wet_f, elevation_ft)
    except OutsideRange:
        return float("nan")


def _means(group: np.ndarray, values: np.ndarray, count: int) -> np.ndarray:
    held = np.isfinite(values)
    number = np.bincount(group[held], minlength=count)
    total = np.bincount(group[held], weights=values[held], minlength=count)
    return np.where(number > 0, total / np.maximum(number, 1), np.nan)


def _or_none(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None

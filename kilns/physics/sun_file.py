"""Sun from a weather file, EPW or TMY3: every hour's radiation on the flat, and what that is on a tilted collector.

hours = read_sun(content)
hours.global_wh_m2                       # twelve daily means on the flat
monthly_of_hours(hours, 55.0)            # on the collector: surer than `solar.monthly_radiation`
"""

import csv
import io
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kilns.physics.solar import GROUND_REFLECTS, MonthSun, Sky, most_over_months
from kilns.physics.sun_geometry import SOLAR_CONSTANT_W_M2
from yard.wood.ranges import require_range
from yard.wood.weather.opening import text_of
from yard.wood.weather.weather_file import CannotReadWeather

Floats = NDArray[np.float64]
Row = list[str]

EPW_HEADER_LINES = 8
TMY3_COLUMNS = ("GHI (W/m^2)", "DNI (W/m^2)", "DHI (W/m^2)")
MISSING_WH = 9000.0
# Wh/m²: 9999 and -9900 stand for missing (EPW-DICTIONARY, TMY3-MANUAL); no hour has so much
FEWEST_HOURS = 600
# of a month, for its mean to count (our own figure)
LOWEST_SUN = 0.01745
# cosine of 89°: the sun nearer to the horizon is taken so (common practice)
DAYS_BEFORE = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)


@dataclass(frozen=True, eq=False)
class SunHours:
    """The sun of a file hour by hour: day of the year, middle of the hour [h, local standard time], Wh/m²."""

    day: Floats
    hour: Floats
    month: NDArray[np.int64]
    whole: Floats
    direct: Floats  # on a plane that faces the sun
    sky: Floats
    lat_deg: float
    lon_deg: float
    utc_offset_h: float
    format: str

    @property
    def global_wh_m2(self) -> tuple[float, ...]:
        """Twelve daily means on the flat [Wh/m²]."""
        return _daily_means(self.month, self.whole)

    @property
    def diffuse_wh_m2(self) -> tuple[float, ...]:
        """Twelve daily means of what comes from the whole sky [Wh/m²]."""
        return _daily_means(self.month, self.sky)


def read_sun(content: bytes) -> SunHours:
    """Return the sun of an EPW or TMY3 file.

    Parameters: `content` the file's bytes. Returns SunHours. Raises CannotReadWeather that says what is wrong.
    Source: EPW-DICTIONARY, TMY3-MANUAL (layout); both count hours by their end.

    >>> read_sun(b"date,temp\\n")
    Traceback (most recent call last):
        ...
    yard.wood.weather.weather_file.CannotReadWeather: No sun in this file: EPW and TMY3 files have it
    """
    text, _ = text_of(content)
    rows = list(csv.reader(io.StringIO(text)))
    if rows and rows[0] and rows[0][0].strip().upper() == "LOCATION":
        return _read("EPW", rows[EPW_HEADER_LINES:], rows[0][6:9], _epw_hour)
    names = [cell.strip() for cell in rows[1]] if len(rows) > 1 else []
    if all(name in names for name in TMY3_COLUMNS):
        at = [names.index(name) for name in TMY3_COLUMNS]
        lat_lon_zone = [*rows[0][4:6], rows[0][3]]
        return _read("TMY3", rows[2:], lat_lon_zone, lambda row: _tmy3_hour(row, at))
    raise CannotReadWeather("No sun in this file: EPW and TMY3 files have it")


def monthly_of_hours(
    hours: SunHours, tilt_deg: float, azimuth_deg: float = 0.0, *, ground: float = GROUND_REFLECTS,
    sky: Sky = "hay-davies",
) -> tuple[MonthSun, ...]:  # fmt: skip
    """Return the radiation on a tilted collector month by month, summed up over a file's hours.

    Parameters: `tilt_deg` from flat, 0 to 90; `azimuth_deg` 0 due south, east negative, -180 to 180; `ground` share
    reflected, 0 to 1; `sky` "hay-davies" or "isotropic". Returns twelve MonthSuns. Raises OutsideRange.
    Source: SPENCER-1971 for the sun's place; HAY-DAVIES-1980; LIU-JORDAN-1960. Held to pvlib's hourly sums within 2%
    at three real files by the tests.
    """
    require_range("tilt", tilt_deg, 0.0, 90.0, "°")
    require_range("azimuth", azimuth_deg, -180.0, 180.0, "°")
    require_range("ground reflection", ground, 0.0, 1.0)
    overhead, facing = _cosines(hours, math.radians(tilt_deg), math.radians(azimuth_deg))
    tilt = math.radians(tilt_deg)
    up, down = (1.0 + math.cos(tilt)) / 2.0, (1.0 - math.cos(tilt)) / 2.0
    round_sun = np.zeros_like(hours.direct)
    if sky == "hay-davies":
        far = 1.0 + 0.033 * np.cos(2 * np.pi * hours.day / 365)
        round_sun = np.clip(hours.direct / (SOLAR_CONSTANT_W_M2 * far), 0.0, 1.0)
    ratio = np.maximum(facing, 0.0) / np.maximum(overhead, LOWEST_SUN)
    diffuse = hours.sky * (round_sun * ratio + (1.0 - round_sun) * up)
    tilted = hours.direct * np.maximum(facing, 0.0) + diffuse + hours.whole * ground * down
    figures = (hours.global_wh_m2, hours.diffuse_wh_m2, _daily_means(hours.month, tilted))
    return tuple(MonthSun(month, *three) for month, three in enumerate(zip(*figures, strict=True), 1))


def best_tilt_of_hours(
    hours: SunHours, months: Sequence[int] = tuple(range(1, 13)), *, ground: float = GROUND_REFLECTS
) -> int:
    """Return the tilt that gathers most over the months used, to the whole degree, from a file's hours.

    Parameters and errors: as `solar.best_tilt_deg`. Source: `monthly_of_hours` at every degree.
    """
    azimuth = 0.0 if hours.lat_deg >= 0 else 180.0
    return most_over_months(lambda tilt: monthly_of_hours(hours, tilt, azimuth, ground=ground), months)


def _cosines(hours: SunHours, tilt: float, azimuth: float) -> tuple[Floats, Floats]:
    """Cosines of the sun from overhead and from the collector's normal, at the middle of each hour."""
    turn = 2 * np.pi * (hours.day - 1.0 + (hours.hour - 12.0) / 24.0) / 365.0
    declination = (
        0.006918 - 0.399912 * np.cos(turn) + 0.070257 * np.sin(turn) - 0.006758 * np.cos(2 * turn)
        + 0.000907 * np.sin(2 * turn) - 0.002697 * np.cos(3 * turn) + 0.00148 * np.sin(3 * turn)
    )  # fmt: skip
    minutes = 229.18 * (
        0.000075 + 0.001868 * np.cos(turn) - 0.032077 * np.sin(turn) - 0.014615 * np.cos(2 * turn)
        - 0.040849 * np.sin(2 * turn)
    )  # fmt: skip
    solar_h = hours.hour + minutes / 60.0 + (hours.lon_deg - 15.0 * hours.utc_offset_h) / 15.0
    angle, lat = np.radians(15.0 * (solar_h - 12.0)), math.radians(hours.lat_deg)
    overhead = math.sin(lat) * np.sin(declination) + math.cos(lat) * np.cos(declination) * np.cos(angle)
    south = math.sin(lat) * np.cos(declination) * np.cos(angle) - math.cos(lat) * np.sin(declination)
    west = np.cos(declination) * np.sin(angle)
    across = math.cos(azimuth) * south + math.sin(azimuth) * west
    return overhead, np.asarray(math.cos(tilt) * overhead + math.sin(tilt) * across)


def _epw_hour(row: Row) -> tuple[int, int, int, float, float, float]:
    return int(row[1]), int(row[2]), int(row[3]), float(row[13]), float(row[14]), float(row[15])


def _tmy3_hour(row: Row, at: list[int]) -> tuple[int, int, int, float, float, float]:
    month, day, _ = row[0].split("/")
    whole, direct, sky = (float(row[place]) for place in at)
    return int(month), int(day), int(row[1].split(":")[0]), whole, direct, sky


def _read(
    kind: str, rows: list[Row], place: Row, hour_of: Callable[[Row], tuple[int, int, int, float, float, float]]
) -> SunHours:
    read = []
    for number, row in enumerate(rows, 1):
        if not row:
            continue
        try:
            month, day, hour, *three = hour_of(row)
            read.append((month, DAYS_BEFORE[month - 1] + day, hour - 0.5, *three))
        except (ValueError, IndexError):
            raise CannotReadWeather(f"Hour {number} of the {kind} file is damaged") from None
    try:
        lat, lon, zone = (float(cell) for cell in place)
    except ValueError:
        raise CannotReadWeather(f"The first line of the {kind} file does not say where it was measured") from None
    told = np.array(read, dtype=np.float64).reshape(-1, 6)
    known = told[((told[:, 3:] >= 0.0) & (told[:, 3:] < MISSING_WH)).all(axis=1)]
    counts = np.bincount(known[:, 0].astype(np.int64), minlength=13)
    for month in range(1, 13):
        if counts[month] < FEWEST_HOURS:
            raise CannotReadWeather(f"Month {month} of the {kind} file has only {counts[month]} hours of sun readings")
    month, day, hour, whole, direct, sky = known.T
    return SunHours(day, hour, month.astype(np.int64), whole, direct, sky, lat, lon, zone, kind)


def _daily_means(month: NDArray[np.int64], values: Floats) -> tuple[float, ...]:
    sums = np.bincount(month, weights=values, minlength=13)[1:]
    counts = np.bincount(month, minlength=13)[1:]
    return tuple(float(one) for one in 24.0 * sums / counts)

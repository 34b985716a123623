"""The climate of a yard from the built-in places: by month at any point, and by day for any dates."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from yard.wood.cities import (
    City,
    MonthClimate,
    MonthlyClimate,
    NearPlace,
    all_cities,
    cities_by_distance,
    city,
    nearest_city,
)
from yard.wood.ranges import OutsideRange, require_range

__all__ = [
    "City",
    "DailyClimate",
    "MonthClimate",
    "MonthlyClimate",
    "NearPlace",
    "all_cities",
    "city",
    "daily_climate",
    "monthly_climate",
    "nearest_city",
]

Floats = NDArray[np.float64]

LAPSE_F_PER_FT = 6.5 * 1.8 / 1000 * 0.3048
# °F a foot: 6.5 °C a km, US-STD-ATM-1976 (from memory); 3.57 °F per 1,000 ft

NEIGHBOURS = 4
DISTANCE_POWER = 2
# the four nearest places by inverse squared distance: common practice, chosen by leave-one-out error

MEASURED_WITHIN_MI = 300.0
# the leave-one-out error was measured on places within this of their nearest neighbour (all but Miami, 492)
FARTHEST_MI = 600.0
# beyond this the table says nothing about a place (our own limit)

EAST_OF_DEG = -100.0
# the 100th meridian: west of it, mountains and coast make neighbours unlike


@dataclass(frozen=True)
class InterpolationError:
    """The measured leave-one-out error of `monthly_climate` (root mean square over places and months)."""

    temp_f: float
    emc_pct: float
    rh_pct: float


EAST_ERROR = InterpolationError(temp_f=1.7, emc_pct=0.6, rh_pct=2.2)
WEST_ERROR = InterpolationError(temp_f=4.6, emc_pct=2.4, rh_pct=12.6)
# measured by tests/wood/test_climate.py, which fails when these no longer hold


def monthly_climate(
    lat_deg: float,
    lon_deg: float,
    elevation_ft: float | None = None,
    *,
    without: frozenset[str] = frozenset(),
) -> MonthlyClimate:
    """Return the twelve months at a point, interpolated between the four nearest built-in places.

    Parameters: lat_deg -90 to 90, lon_deg -180 to 180 (west negative); elevation_ft -300 to 12,000, None
    takes that of the places; `without` keys of places to leave out (used to measure the error).
    Returns: `temp_f` (standard lapse rate, and the table's own change with latitude, taken out before
    weighting and put back after), `rh_pct` and `emc_pct` weighted as they stand, with label and error.
    Errors: OutsideRange when the nearest place is over 600 miles away.
    Source: inverse-distance weighting (common practice); lapse rate US-STD-ATM-1976; table FPL-RN-0268 and
    NOAA-CCD-1961-1990, from memory.

    >>> rows = monthly_climate(43.14, -89.35, 860)
    >>> len(rows), rows.month(1).emc_pct
    (12, 14.5)
    """
    if elevation_ft is not None:
        require_range("elevation", elevation_ft, -300, 12000, "ft")
    near = [pair for pair in cities_by_distance(lat_deg, lon_deg) if pair[1].key not in without][:NEIGHBOURS]
    nearest_mi = near[0][0]
    if nearest_mi > FARTHEST_MI:
        raise OutsideRange(
            "distance to the nearest built-in place", round(nearest_mi), 0, FARTHEST_MI, "miles",
            "Import a weather file of your own place.",
        )  # fmt: skip
    weights = _weights([miles for miles, _ in near])
    places = tuple(
        NearPlace(place.key, place.label, miles, float(weight))
        for (miles, place), weight in zip(near, weights, strict=True)
    )
    near_cities = [place for _, place in near]
    shift = _temperature_shift(near_cities, lat_deg, elevation_ft, without)
    temps = weights @ (_table(near_cities, "temp_f") + shift)
    humidities = weights @ _table(near_cities, "rh_pct")
    emcs = weights @ _table(near_cities, "emc_pct")
    months = tuple(
        MonthClimate(number + 1, float(temps[number]), float(humidities[number]), float(emcs[number]))
        for number in range(12)
    )
    error = EAST_ERROR if lon_deg > EAST_OF_DEG else WEST_ERROR
    measured = nearest_mi <= MEASURED_WITHIN_MI
    return MonthlyClimate(
        months, "interpolated", _label(places, error if measured else None), places,
        error.temp_f if measured else None, error.emc_pct if measured else None,
    )  # fmt: skip


def _weights(distances_mi: list[float]) -> Floats:
    # Within half a mile the place itself answers: the places are given to a hundredth of a degree.
    if distances_mi[0] < 0.5:
        return np.array([1.0] + [0.0] * (len(distances_mi) - 1))
    raw = np.array(distances_mi) ** -DISTANCE_POWER
    return np.asarray(raw / raw.sum())


def _table(places: list[City], column: str) -> Floats:
    return np.array([[getattr(row, column) for row in one.climate] for one in places])


def _temperature_shift(near: list[City], lat_deg: float, elevation_ft: float | None, without: frozenset[str]) -> Floats:
    """Return the additions [°F], places by months, that bring each to the asked latitude and elevation."""
    north = np.array([lat_deg - place.lat_deg for place in near])
    up = np.array([0.0 if elevation_ft is None else elevation_ft - place.elevation_ft for place in near])
    shift = np.outer(north, _latitude_gradient(without)) - LAPSE_F_PER_FT * up[:, None]
    return np.asarray(shift)


@cache
def _latitude_gradient(without: frozenset[str]) -> Floats:
    """Return the change of sea-level temperature with latitude [°F per °N] of each month, least squares.

    Fitted on the table's contiguous states; it halves the leave-one-out error east of the 100th meridian.
    """
    fitted = [one for one in all_cities() if one.state not in ("AK", "HI") and one.key not in without]
    design = np.array([[1.0, one.lat_deg] for one in fitted])
    heights = np.array([one.elevation_ft for one in fitted])
    sea_level = _table(fitted, "temp_f") + LAPSE_F_PER_FT * heights[:, None]
    return np.asarray(np.linalg.lstsq(design, sea_level, rcond=None)[0][1])


def _label(places: tuple[NearPlace, ...], error: InterpolationError | None) -> str:
    first = places[0]
    if first.weight == 1.0:
        return f"Monthly averages of {first.name} from the built-in table (from memory)."
    names = ", ".join(f"{one.name} ({one.distance_mi:.0f} mi)" for one in places)
    if error is None:
        return (
            f"Very rough: the nearest built-in place is {first.distance_mi:.0f} miles away, farther than was "
            f"measured. Interpolated from {names}. Import a weather file."
        )
    return (
        f"Interpolated from {names}. Left out and interpolated back, such places were off by "
        f"{error.temp_f:g} °F and {error.emc_pct:g}% EMC (root mean square)."
    )


@dataclass(frozen=True, eq=False)
class DailyClimate:
    """A run of days of ordinary weather: first date, and the mean air of each day."""

    start: date
    temp_f: Floats
    rh_pct: Floats

    def __len__(self) -> int:
        return len(self.temp_f)

    def dates(self) -> list[date]:
        """Return the date of each day."""
        return [self.start + timedelta(days=day) for day in range(len(self.temp_f))]


def daily_climate(climate: MonthlyClimate, start: date, days: int) -> DailyClimate:
    """Return the smooth normal temperature and humidity of each day from `start`, for `days` days.

    Parameters: `climate` twelve months; `days` 0 to 40,000. The same date has the same air in every year of
    the same length, and the mean over any whole month is the month's own figure.
    Returns: `temp_f` [°F] and `rh_pct` [%] arrays.
    Errors: OutsideRange for the number of days, or a start that is no date.
    Source: the periodic year of daily values with the least sum of squared second differences whose twelve
    monthly means are given (least-squares smoothing under equality constraints, common mathematics).

    >>> normal = daily_climate(city("WI-Madison").climate, date(2025, 1, 1), 31)
    >>> round(float(normal.temp_f.mean()), 6)
    16.0
    """
    require_range("number of days", days, 0, 40000)
    if not isinstance(start, date):
        raise OutsideRange("start", start, None, None, "", "Give a date.")
    temps = np.array([row.temp_f for row in climate])
    humidities = np.array([row.rh_pct for row in climate])
    years, positions = year_positions(start, days)
    temp_f, rh_pct = np.empty(days), np.empty(days)
    for length in (365, 366):
        here = years == length
        basis = month_basis(length)[positions[here]]
        temp_f[here] = basis @ temps
        rh_pct[here] = np.clip(basis @ humidities, 1.0, 100.0)
    return DailyClimate(start, temp_f, rh_pct)


def year_positions(start: date, days: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return each day's length of year (365 or 366) and its place in it, counted from 0.

    >>> [each.tolist() for each in year_positions(date(2023, 12, 31), 2)]
    [[365, 366], [364, 0]]
    """
    day = np.datetime64(start, "D") + np.arange(days)
    year = day.astype("datetime64[Y]")
    begin = year.astype("datetime64[D]")
    length = ((year + 1).astype("datetime64[D]") - begin).astype(np.int64)
    return length, (day - begin).astype(np.int64)


@lru_cache(maxsize=2)
def month_basis(length: int) -> Floats:
    """Return the (days x 12) matrix that turns monthly means into the smoothest year with those means.

    Parameters: `length` 365 or 366. Source: see `daily_climate`.

    >>> round(float((month_basis(365) @ np.ones(12)).max()), 6)
    1.0
    """
    feb = 29 if length == 366 else 28
    month_days = [31, feb, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    means = np.zeros((12, length))
    end = np.cumsum(month_days)
    for month, (last, count) in enumerate(zip(end, month_days, strict=True)):
        means[month, last - count : last] = 1.0 / count
    eye = np.eye(length)
    bend = np.roll(eye, 1, axis=1) - 2 * eye + np.roll(eye, -1, axis=1)
    system = np.block([[bend.T @ bend, means.T], [means, np.zeros((12, 12))]])
    right = np.vstack([np.zeros((length, 12)), np.eye(12)])
    return np.asarray(np.linalg.solve(system, right)[:length])

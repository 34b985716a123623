"""Weather that has not come yet: the normal year with day-to-day noise, or the past years one by one."""

import csv
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import numpy as np
from numpy.typing import NDArray

from yard.wood.cities import DATA, MonthlyClimate
from yard.wood.climate import daily_climate, month_basis, year_positions
from yard.wood.ranges import require_range
from yard.wood.weather.weather_file import CannotReadWeather, WeatherDay

Floats = NDArray[np.float64]

LEAST_RH_PCT, MOST_RH_PCT = 5.0, 100.0
# day means drier than the first do not happen outdoors (our own limit); saturation is the upper end
LONGEST_GAP_DAYS = 7
# a gap up to a week is bridged by a straight line when past years are replayed (COMMON)


@dataclass(frozen=True)
class DayToDay:
    """How days scatter about their normal: spread by month, persistence, and how the two go together.

    `temp_sd_f` [°F], `rh_sd_pct` [points], `correlation` of the two, each January to December; `temp_lag1`
    and `rh_lag1` the correlation of one day with the next.
    """

    temp_sd_f: tuple[float, ...]
    rh_sd_pct: tuple[float, ...]
    correlation: tuple[float, ...]
    temp_lag1: float
    rh_lag1: float


@dataclass(frozen=True, eq=False)
class FutureWeather:
    """Possible weathers from `start` on: arrays of members (rows) by days (columns)."""

    start: date
    temp_f: Floats
    rh_pct: Floats


@cache
def built_in_day_to_day() -> DayToDay:
    """Return the built-in scatter: measured at one inland station with cold winters.

    Source: computed from ISD-LITE-725300, three years of hours. Two other stations (Mount Shasta, Northway)
    had 5.9 and 7.7 °F where this one has 8.8, and persistence 0.79 and 0.75 where this one has 0.73.

    >>> built_in_day_to_day().temp_lag1
    0.73
    """
    with (DATA / "day_to_day.csv").open(encoding="utf-8", newline="") as lines:
        rows = sorted(csv.DictReader(lines), key=lambda row: int(row["month"]))

    def column(name: str) -> tuple[float, ...]:
        return tuple(float(row[name]) for row in rows)

    return DayToDay(
        column("temp_sd_f"), column("rh_sd_pct"), column("temp_rh_correlation"),
        float(rows[0]["temp_lag1"]), float(rows[0]["rh_lag1"]),
    )  # fmt: skip


def measure_day_to_day(days: tuple[WeatherDay, ...]) -> DayToDay:
    """Return the scatter of a place's own days about their smooth normal, from two years or more of them.

    Errors: CannotReadWeather when a month has fewer than 40 days with temperature and humidity.
    Source: sample standard deviation and lag-one correlation of the anomalies (standard statistics).

    >>> from yard.wood.weather.days import day_of
    >>> warm_and_cold = (day_of(date(2023, 1, 1) + timedelta(n), 50.0 + 10 * (n // 2 % 2), 60.0 - n % 2, 24,
    ...                         "measured") for n in range(730))
    >>> round(measure_day_to_day(tuple(warm_and_cold)).temp_sd_f[6])
    5
    """
    there = [one for one in days if one.temp_f is not None and one.rh_pct is not None]
    when = np.array([one.day for one in there], dtype="datetime64[D]")
    month = when.astype("datetime64[M]").astype(np.int64) % 12
    for number in range(12):
        count = int((month == number).sum())
        if count < 40:
            raise CannotReadWeather(f"Month {number + 1} has {count} days; the scatter of a month needs 40.")
    temp = _anomalies(when, month, np.array([one.temp_f for one in there], dtype=float))
    rh = _anomalies(when, month, np.array([one.rh_pct for one in there], dtype=float))
    next_day = np.diff(when).astype(np.int64) == 1
    return DayToDay(
        tuple(float(temp[month == number].std()) for number in range(12)),
        tuple(float(rh[month == number].std()) for number in range(12)),
        tuple(float(np.corrcoef(temp[month == number], rh[month == number])[0, 1]) for number in range(12)),
        float(np.corrcoef(temp[:-1][next_day], temp[1:][next_day])[0, 1]),
        float(np.corrcoef(rh[:-1][next_day], rh[1:][next_day])[0, 1]),
    )


def _anomalies(when: NDArray[np.datetime64], month: NDArray[np.int64], values: Floats) -> Floats:
    means = np.array([values[month == number].mean() for number in range(12)])
    year = when.astype("datetime64[Y]")
    position = (when - year.astype("datetime64[D]")).astype(np.int64)
    leap = ((year + 1).astype("datetime64[D]") - year.astype("datetime64[D]")).astype(np.int64) == 366
    normal = np.where(leap, (month_basis(366) @ means)[position], (month_basis(365) @ means)[position % 365])
    return np.asarray(values - normal)


def future_weather(
    climate: MonthlyClimate, start: date, days: int, members: int, seed: int, scatter: DayToDay | None = None
) -> FutureWeather:
    """Return possible weathers: the normal of each day plus noise that persists from day to day.

    Parameters: `days` 0 to 4,000; `members` 1 to 20,000; the same `seed` gives the same weathers; `scatter`
    None takes the built-in one. Humidity is cut at 5 and 100%, which lowers its mean by a few tenths.
    Errors: OutsideRange.
    Source: first-order autoregression of standardised anomalies, the form of RICHARDSON-1981 (from memory)
    with temperature and humidity for its variables; its figures by `built_in_day_to_day`.

    >>> from yard.wood.climate import city
    >>> future_weather(city("WI-Madison").climate, date(2025, 1, 1), 30, 8, seed=1).temp_f.shape
    (8, 30)
    """
    require_range("number of days", days, 0, 4000)
    require_range("number of members", members, 1, 20000)
    noise = scatter or built_in_day_to_day()
    normal = daily_climate(climate, start, days)
    temp_sd, rh_sd, together = (
        _by_day(start, days, values) for values in (noise.temp_sd_f, noise.rh_sd_pct, noise.correlation)
    )
    temp, rh = _autoregression(noise, together, members, np.random.default_rng(seed))
    return FutureWeather(
        start,
        normal.temp_f + np.maximum(temp_sd, 0.0) * temp,
        np.clip(normal.rh_pct + np.maximum(rh_sd, 0.0) * rh, LEAST_RH_PCT, MOST_RH_PCT),
    )


def _by_day(start: date, days: int, by_month: tuple[float, ...]) -> Floats:
    lengths, positions = year_positions(start, days)
    values = np.empty(days)
    for length in (365, 366):
        here = lengths == length
        values[here] = month_basis(length)[positions[here]] @ np.array(by_month)
    return values


def _autoregression(
    noise: DayToDay, together: Floats, members: int, random: np.random.Generator
) -> tuple[Floats, Floats]:
    """Return standard anomalies (members x days) of temperature and humidity with the wanted correlations."""
    keep_t, keep_h = noise.temp_lag1, noise.rh_lag1
    new_t, new_h = np.sqrt(1 - keep_t**2), np.sqrt(1 - keep_h**2)
    # The fresh part of each day must go together more than the whole, for what persists does so unevenly.
    fresh = np.clip(together * (1 - keep_t * keep_h) / (new_t * new_h), -0.99, 0.99)
    draws = random.standard_normal((2, len(together), members))
    temp, rh = np.empty((len(together), members)), np.empty((len(together), members))
    for day, share in enumerate(fresh):
        mixed = share * draws[0, day] + np.sqrt(1 - share**2) * draws[1, day]
        if day == 0:
            # Begin in the steady state, not at the normal: today's weather is as uncertain as any day's.
            temp[0] = draws[0, 0]
            rh[0] = together[0] * draws[0, 0] + np.sqrt(1 - min(together[0] ** 2, 1.0)) * draws[1, 0]
            continue
        temp[day] = keep_t * temp[day - 1] + new_t * draws[0, day]
        rh[day] = keep_h * rh[day - 1] + new_h * mixed
    return np.ascontiguousarray(temp.T), np.ascontiguousarray(rh.T)


def past_years(days: tuple[WeatherDay, ...], start: date, length: int) -> FutureWeather:
    """Return the weather of each past year that has all the wanted dates, as if it came again.

    Parameters: `days` of one place, in order; `length` 1 to 4,000 days from `start` on. 29 February takes the
    weather of the next day where the past year has none.
    Errors: CannotReadWeather when no past year covers the dates; OutsideRange.
    Source: replay of past seasons (COMMON).

    >>> from yard.wood.weather.days import day_of
    >>> past = tuple(day_of(date(2022, 1, 1) + timedelta(n), 50.0, 60.0, 24, "measured") for n in range(730))
    >>> past_years(past, date(2024, 3, 1), 60).temp_f.shape
    (2, 60)
    """
    require_range("number of days", length, 1, 4000)
    known = {one.day: one for one in days if one.temp_f is not None and one.rh_pct is not None}
    temps: list[Floats] = []
    humidities: list[Floats] = []
    for year in sorted({day.year for day in known}):
        if year >= start.year:
            continue
        rows = [known.get(_same_date(start + timedelta(days=n), year - start.year)) for n in range(length)]
        found = np.array([row is not None for row in rows])
        if not found[0] or not found[-1] or _longest_gap(found) > LONGEST_GAP_DAYS:
            continue
        at = np.flatnonzero(found)
        for series, name in ((temps, "temp_f"), (humidities, "rh_pct")):
            series.append(np.interp(np.arange(length), at, [getattr(row, name) for row in rows if row]))
    if not temps:
        raise CannotReadWeather("No past year in this weather covers all of the wanted dates.")
    return FutureWeather(start, np.array(temps), np.array(humidities))


def _same_date(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 3, 1)


def _longest_gap(found: NDArray[np.bool_]) -> int:
    edges = np.flatnonzero(found)
    return int(np.diff(edges).max() - 1) if len(edges) > 1 else 0

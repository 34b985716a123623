"""From the hours of a weather file to its days: mean temperature and mean humidity first, then the EMC."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from yard.wood.cities import MonthClimate, MonthlyClimate
from yard.wood.climate import daily_climate
from yard.wood.moisture import EMC_COLDEST_F, equilibrium_mc_pct
from yard.wood.ranges import require_range
from yard.wood.weather.weather_file import (
    CannotReadWeather,
    Floats,
    HourlyAir,
    HumidityFrom,
    WeatherDay,
    WeatherFile,
)

ENOUGH_SHARE = 0.75
# 18 of 24 hours make a day, 6 of 8 where a station reports every three hours (COMMON)
REGULAR_SHARE = 0.95
# a file is three-hourly when this share of its hours lies on every third hour (our own limit)


@dataclass(frozen=True, eq=False)
class _Slots:
    """Clock hours of local standard time, each with the mean of its readings."""

    hour: np.ndarray[tuple[int], np.dtype[np.int64]]
    temp_f: Floats
    rh_pct: Floats


def day_of(
    day: date,
    temp_f: float | None,
    rh_pct: float | None,
    hours: int,
    humidity_from: HumidityFrom,
    note: str = "",
) -> WeatherDay:
    """Return the WeatherDay of a mean temperature and humidity, with its EMC where both are there.

    Parameters: `temp_f` [°F], `rh_pct` [%] 0 to 100, either None where missing; `hours` behind the means.
    Source: WH-GTR190 eq. 4-5, of the day's means.

    >>> round(day_of(date(2024, 1, 1), 70.0, 65.0, 24, "measured").emc_pct, 1)
    12.0
    """
    if temp_f is None or rh_pct is None:
        return WeatherDay(day, temp_f, rh_pct, None, hours, humidity_from if rh_pct is not None else "none", note)
    emc_pct = equilibrium_mc_pct(max(temp_f, EMC_COLDEST_F), min(rh_pct, 100.0))
    return WeatherDay(day, temp_f, rh_pct, emc_pct, hours, humidity_from, note)


def day_rows(
    file: WeatherFile, utc_offset_h: float | None = None, min_share: float = ENOUGH_SHARE
) -> tuple[WeatherDay, ...]:
    """Return every day from the first to the last of a file; a day with too few hours is there, but empty.

    Parameters: `utc_offset_h` local standard time from UTC [h] (-6 for US Central), needed by files in UTC
    that give no longitude; `min_share` of the day's hours that must be there, 0 to 1. Readings of one clock
    hour are averaged first, so extra reports in bad weather do not weigh more; each six-hour quarter of the
    day needs one. Days are days of local standard time, whatever the clocks did.
    Errors: CannotReadWeather when a file in UTC cannot be brought to local days; OutsideRange.
    Source: day means first, then WH-GTR190 eq. 4-5; the three quarters of the hours are COMMON.

    >>> from yard.wood.weather.isd_lite import read_isd_lite
    >>> rows = b"".join(b"2016 01 01 %02d -44 -83 0 0 0 0 0 0\\n" % hour for hour in range(24))
    >>> day, next_day = day_rows(read_isd_lite(rows), utc_offset_h=1)
    >>> round(day.temp_f, 2), round(day.rh_pct), day.hours, next_day.note
    (24.08, 74, 23, 'only 1 of 24 readings')
    """
    require_range("share of the day's hours", min_share, 0, 1)
    if file.hours is None:
        return _without_gaps({one.day: one for one in file.days})
    slots = _clock_hours(file.hours, local_offset_h(file, utc_offset_h) if file.time_basis == "UTC" else 0.0)
    found = _days_of(slots, min_share, file.hours.humidity_from)
    found.update({one.day: one for one in file.days})
    return _without_gaps(found)


def local_offset_h(file: WeatherFile, utc_offset_h: float | None = None) -> float:
    """Return the hours from UTC that a file's local days take: as given, as the file says, or by longitude.

    Errors: CannotReadWeather when neither is known; OutsideRange outside -14 to 14.

    >>> from yard.wood.weather.isd_lite import read_isd_lite
    >>> local_offset_h(read_isd_lite(b"2016 01 01 00 -44 -83 0 0 0 0 0 0"), -6)
    -6.0
    """
    if utc_offset_h is not None:
        return float(require_range("hours from UTC", utc_offset_h, -14, 14, "h"))
    if file.place.utc_offset_h is not None:
        return file.place.utc_offset_h
    if file.place.lon_deg is not None:
        return float(round(file.place.lon_deg / 15))
    raise CannotReadWeather(
        "The times of this file are in UTC and it does not say where it was measured; give the hours from UTC."
    )


def _clock_hours(hours: HourlyAir, offset_h: float) -> _Slots:
    minutes = hours.when.astype("datetime64[m]").astype(np.int64) + round(offset_h * 60)
    hour, group = np.unique(minutes // 60, return_inverse=True)
    return _Slots(hour, _means(group, hours.temp_f, len(hour)), _means(group, hours.rh_pct, len(hour)))


def _means(group: np.ndarray[tuple[int], np.dtype[np.int64]], values: Floats, count: int) -> Floats:
    """Return the mean of each group's readings, NaN where it has none."""
    there = np.isfinite(values)
    number = np.bincount(group[there], minlength=count)
    total = np.bincount(group[there], weights=values[there], minlength=count)
    return np.where(number > 0, total / np.maximum(number, 1), np.nan)


def _step_h(slots: _Slots) -> int:
    """Return how many hours lie between reports of this file: 1, 3 or 6."""
    of_day = slots.hour[np.isfinite(slots.temp_f)] % 24
    for step in (6, 3):
        if len(of_day) and np.bincount(of_day % step).max() >= REGULAR_SHARE * len(of_day):
            return step
    return 1


def _days_of(slots: _Slots, min_share: float, humidity_from: HumidityFrom) -> dict[date, WeatherDay]:
    whole = 24 // _step_h(slots)
    first = slots.hour[0] // 24
    group = slots.hour // 24 - first
    count = int(group[-1]) + 1
    quarter = slots.hour % 24 // 6
    temps, humidities = _means(group, slots.temp_f, count), _means(group, slots.rh_pct, count)
    found = {}
    temp_hours, temp_ok = _enough(group, quarter, slots.temp_f, count, whole, min_share)
    rh_hours, rh_ok = _enough(group, quarter, slots.rh_pct, count, whole, min_share)
    for index in np.unique(group):
        day = date(1970, 1, 1) + timedelta(days=int(first + index))
        hours = int(temp_hours[index])
        temp = float(temps[index]) if temp_ok[index] else None
        rh = float(humidities[index]) if temp_ok[index] and rh_ok[index] else None
        note = ""
        if temp is None:
            few = hours < min_share * whole - 1e-9
            note = f"only {hours} of {whole} readings" if few else "no reading in a quarter of the day"
        elif rh is None:
            note = f"humidity in {int(rh_hours[index])} of {whole} readings, too few"
        found[day] = day_of(day, temp, rh, hours, humidity_from, note)
    return found


def _enough(
    group: np.ndarray[tuple[int], np.dtype[np.int64]],
    quarter: np.ndarray[tuple[int], np.dtype[np.int64]],
    values: Floats,
    count: int,
    whole: int,
    min_share: float,
) -> tuple[np.ndarray[tuple[int], np.dtype[np.int64]], np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Return for each day its hours with a reading, and whether they are enough and spread over the day."""
    there = np.isfinite(values)
    hours = np.bincount(group[there], minlength=count)
    by_quarter = np.bincount(group[there] * 4 + quarter[there], minlength=count * 4).reshape(count, 4)
    return hours, (hours >= min_share * whole - 1e-9) & (by_quarter > 0).all(axis=1)


def _without_gaps(found: dict[date, WeatherDay]) -> tuple[WeatherDay, ...]:
    if not found:
        return ()
    first, last = min(found), max(found)
    every = (first + timedelta(days=number) for number in range((last - first).days + 1))
    return tuple(found.get(day) or day_of(day, None, None, 0, "none", "no readings") for day in every)


def fill_humidity(days: tuple[WeatherDay, ...], climate: MonthlyClimate) -> tuple[WeatherDay, ...]:
    """Return the days with the climate's normal humidity where a day has temperature but no humidity.

    Such days say so: `humidity_from` is "climate". Days without temperature stay empty.

    >>> from yard.wood.cities import city
    >>> day = day_of(date(2024, 7, 4), 70.0, None, 24, "none")
    >>> fill_humidity((day,), city("WI-Madison").climate)[0].humidity_from
    'climate'
    """
    if not days:
        return days
    first = min(one.day for one in days)
    last = max(one.day for one in days)
    normal = daily_climate(climate, first, (last - first).days + 1)
    filled = []
    for one in days:
        if one.temp_f is None or one.rh_pct is not None:
            filled.append(one)
            continue
        humidity = float(normal.rh_pct[(one.day - first).days])
        note = "no humidity in the file: the usual humidity of the season is used"
        filled.append(day_of(one.day, one.temp_f, humidity, one.hours, "climate", note))
    return tuple(filled)


def monthly_from_days(days: tuple[WeatherDay, ...], label: str) -> MonthlyClimate:
    """Return the monthly climate of a place from a year or more of its days: the way in for other countries.

    Months are means over all their days with temperature and humidity; each month needs 20 of them.
    Errors: CannotReadWeather that names the month with too few days.

    >>> year = tuple(day_of(date(2023, 1, 1) + timedelta(n), 70.0, 65.0, 24, "measured") for n in range(365))
    >>> round(monthly_from_days(year, "a room").month(1).emc_pct, 1)
    12.0
    """
    months = []
    for number in range(1, 13):
        rows = [one for one in days if one.day.month == number and one.rh_pct is not None]
        if len(rows) < 20:
            raise CannotReadWeather(
                f"Month {number} has {len(rows)} days with temperature and humidity; a climate needs 20."
            )
        temp = float(np.mean([one.temp_f for one in rows]))
        rh = float(np.mean([one.rh_pct for one in rows]))
        months.append(MonthClimate(number, temp, rh, equilibrium_mc_pct(max(temp, EMC_COLDEST_F), rh)))
    return MonthlyClimate(tuple(months), "weather file", f"Monthly averages of {label}.")


def typical_day_for(days: tuple[WeatherDay, ...], wanted: date) -> WeatherDay:
    """Return the day of a typical year for a real date: 29 February takes 28 February.

    Errors: KeyError when the typical year has no such day.

    >>> year = (day_of(date(2001, 2, 28), 20.0, 70.0, 24, "measured"),)
    >>> typical_day_for(year, date(2024, 2, 29)).day
    datetime.date(2024, 2, 29)
    """
    month, number = (2, 28) if (wanted.month, wanted.day) == (2, 29) else (wanted.month, wanted.day)
    for one in days:
        if (one.day.month, one.day.day) == (month, number):
            return replace(one, day=wanted)
    raise KeyError(f"the typical year has no {wanted:%d %B}")

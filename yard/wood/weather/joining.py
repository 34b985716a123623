"""Join the yearly files of one place, so that a local day cut by the turn of the UTC year is whole again."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from yard.wood.weather.weather_file import CannotReadWeather, HourlyAir, HumidityFrom, WeatherFile


def joined(files: Sequence[WeatherFile]) -> WeatherFile:
    """Return one WeatherFile of the files of one station, in the order of time.

    Where two files have the same day's figures, the later file in the list wins; hours are all kept, and
    `day_rows` averages readings of the same clock hour.
    Errors: CannotReadWeather for no files, or for files of different stations, formats or time bases.

    >>> from yard.wood.weather.isd_lite import read_isd_lite
    >>> one, two = (read_isd_lite(b"%d 01 01 00 -44 -83 0 0 0 0 0 0" % year) for year in (2015, 2016))
    >>> len(joined([two, one]).hours)
    2
    """
    if not files:
        raise CannotReadWeather("There are no files to join.")
    first = files[0]
    for other in files[1:]:
        mine = (first.format, first.time_basis, first.typical, first.place.station, first.hours is None)
        if mine != (other.format, other.time_basis, other.typical, other.place.station, other.hours is None):
            raise CannotReadWeather(
                f"{first.source or first.format} and {other.source or other.format} are not files of one place "
                "in one format."
            )
    days = {day.day: day for file in files for day in file.days}
    return replace(
        first,
        hours=_hours([file.hours for file in files if file.hours is not None]),
        days=tuple(days[day] for day in sorted(days)),
        warnings=tuple(dict.fromkeys(warning for file in files for warning in file.warnings)),
    )


def _hours(parts: list[HourlyAir]) -> HourlyAir | None:
    if not parts:
        return None
    when = np.concatenate([part.when for part in parts])
    order = np.argsort(when, kind="stable")
    return HourlyAir(
        when[order],
        np.concatenate([part.temp_f for part in parts])[order],
        np.concatenate([part.rh_pct for part in parts])[order],
        _humidity_from({part.humidity_from for part in parts} - {"none"}),
    )


def _humidity_from(labels: set[HumidityFrom]) -> HumidityFrom:
    if not labels:
        return "none"
    return labels.pop() if len(labels) == 1 else "measured and dew point"

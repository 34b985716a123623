"""What every weather reader returns, and the one error that a reader raises."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Minutes = NDArray[np.datetime64]

TimeBasis = Literal["local standard", "UTC"]
HumidityFrom = Literal["measured", "dew point", "measured and dew point", "climate", "none"]


class CannotReadWeather(ValueError):  # noqa: N818 - reads as the sentence it is
    """The file is not the weather file it was taken for; the message says why in a sentence.

    >>> str(CannotReadWeather("The file is empty."))
    'The file is empty.'
    """


@dataclass(frozen=True)
class WeatherPlace:
    """Where a file was measured, as far as the file says; what it does not say is None."""

    name: str = ""
    station: str = ""
    lat_deg: float | None = None
    lon_deg: float | None = None
    elevation_ft: float | None = None
    utc_offset_h: float | None = None


@dataclass(frozen=True, eq=False)
class HourlyAir:
    """Readings in the order of the file; a missing value is NaN.

    `when` is the start of the hour that a reading stands for in the formats whose hours end at the stamp
    (EPW, TMY3), so that 24:00 stays in its own day; elsewhere the time of the reading.
    """

    when: Minutes
    temp_f: Floats
    rh_pct: Floats
    humidity_from: HumidityFrom

    def __len__(self) -> int:
        return len(self.when)


@dataclass(frozen=True)
class WeatherDay:
    """The mean air of one day; None where the file has too little, with the reason in `note`.

    `emc_pct` is taken of the day's mean temperature and mean humidity.
    """

    day: date
    temp_f: float | None
    rh_pct: float | None
    emc_pct: float | None
    hours: int
    humidity_from: HumidityFrom = "measured"
    note: str = ""


@dataclass(frozen=True, eq=False)
class WeatherFile:
    """A weather file as read: which format, what source, which place, hours or days, and warnings.

    `typical` marks a made-up year put together from months of several years: its dates carry no year, the
    placeholder 2001 stands for it.
    """

    format: str
    source: str
    place: WeatherPlace
    time_basis: TimeBasis
    hours: HourlyAir | None = None
    days: tuple[WeatherDay, ...] = ()
    typical: bool = False
    warnings: tuple[str, ...] = ()

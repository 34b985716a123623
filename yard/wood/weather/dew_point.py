"""Relative humidity from the dew points of a file, with its gaps and its wrong readings."""

import numpy as np
from numpy.typing import NDArray

from yard.wood import humid_air

Floats = NDArray[np.float64]

ROUNDING_F = 2.0
# °F; stations round both to whole °C: a dew point this far above the temperature is rounding, more is an error


def rh_pct_of_readings(temp_c: Floats, dew_point_c: Floats) -> Floats:
    """Return the relative humidity [%] of readings of temperature and dew point [°C], NaN where there is none.

    NaN where either is NaN, colder than -51 °C, or a dew point stands more than 1.1 °C above the temperature
    (up to there it is rounding and counts as 100%). Weather services report the dew point over water also in
    frost, so water is used throughout.
    Source: `humid_air.rh_pct_from_dew_point` (HYLAND-WEXLER, WMO-8).

    >>> rh_pct_of_readings(np.array([20.0, 20.0]), np.array([20.0, np.nan])).tolist()
    [100.0, nan]
    """
    temp_f, dew_f = temp_c * 1.8 + 32.0, dew_point_c * 1.8 + 32.0
    with np.errstate(invalid="ignore"):
        usable = (dew_f <= temp_f + ROUNDING_F) & (temp_f >= humid_air.COLDEST_F) & (dew_f > -140.0)
    humidity = np.full(temp_f.shape, np.nan)
    dry = temp_f[usable]
    humidity[usable] = humid_air.rh_pct_from_dew_point(dry, np.minimum(dew_f[usable], dry))
    return humidity

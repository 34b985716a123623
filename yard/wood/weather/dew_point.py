"""Relative humidity from temperature and dew point, for the files that give no humidity."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MAGNUS_A = 17.625
# dimensionless; ALDUCHOV-1996, over water (from memory)
MAGNUS_B_C = 243.04
# °C; ALDUCHOV-1996, over water (from memory)

ROUNDING_C = 1.1
# a dew point above the temperature by more than two roundings to whole degrees is an error, not rounding


def rh_pct_from_dew_point(temp_c: Floats, dew_point_c: Floats) -> Floats:
    """Return the relative humidity [%] of air at `temp_c` [°C] with dew point `dew_point_c` [°C].

    Weather services report the dew point over water also in frost, so water is used throughout. Up to
    1.1 °C above the temperature counts as rounding and gives 100; farther above is no reading: NaN.
    Source: ALDUCHOV-1996, the improved Magnus form (within 0.4% of saturation pressure, -40 to 50 °C).

    >>> float(rh_pct_from_dew_point(np.array([20.0]), np.array([20.0]))[0])
    100.0
    """
    with np.errstate(invalid="ignore", over="ignore", divide="ignore"):
        exponent = MAGNUS_A * (dew_point_c / (MAGNUS_B_C + dew_point_c) - temp_c / (MAGNUS_B_C + temp_c))
        humidity = np.minimum(100.0 * np.exp(exponent), 100.0)
        wrong = (dew_point_c > temp_c + ROUNDING_C) | (dew_point_c < -100) | (temp_c < -100)
    return np.where(wrong, np.nan, humidity)

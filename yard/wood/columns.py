"""Whole columns of numbers: the range check of `ranges.py` for numpy arrays, and one number or many alike."""

import numpy as np
from numpy.typing import NDArray

from yard.wood.ranges import OutsideRange, require_range

Floats = NDArray[np.float64]


def require_all_in_range(
    what: str, values: float | Floats, low: float, high: float, unit: str = "", hint: str = ""
) -> None:
    """Raise OutsideRange for the first value that is not finite or lies outside [low, high].

    Parameters: `values` one number or an array of any shape; the rest as in `require_range`.

    >>> require_all_in_range("relative humidity", np.array([40.0, 60.0]), 0.0, 100.0, "%")
    >>> require_all_in_range("relative humidity", np.array([40.0, 160.0]), 0.0, 100.0, "%")
    Traceback (most recent call last):
        ...
    yard.wood.ranges.OutsideRange: relative humidity 160% is outside 0 to 100%
    """
    if not isinstance(values, np.ndarray):
        require_range(what, values, low, high, unit, hint)
        return
    if values.size == 0:
        return
    # the smallest and largest are NaN as soon as one value is, so both comparisons then fail
    if values.min() >= low and values.max() <= high:
        return
    bad = values[~((values >= low) & (values <= high))]
    raise OutsideRange(what, float(bad[0]), low, high, unit, hint)


def as_column(values: "float | Floats") -> "float | Floats":
    """Return a plain float for one number, a float64 array for many.

    What is no number comes back as it is, for the range check that follows to refuse by name.

    >>> as_column(3), as_column(np.array([1, 2])).dtype.name
    (3.0, 'float64')
    """
    if isinstance(values, np.ndarray):
        return values.astype(np.float64, copy=False)
    if isinstance(values, (str, bytes)):
        return values
    try:
        return float(values)
    except (TypeError, ValueError, OverflowError):
        return values

"""Many rows of a sensor's CSV at once, where they are all written the plain way: ISO stamps and plain numbers.

Whatever is written in another way is left to the reader of single rows, which knows every way and names bad lines.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from yard.wood.weather.weather_file import Floats, Minutes

AT_ONCE = 10_000
# rows looked at together: one odd row sends so many the slow way (our own choice)
ZERO, NINE, SHORT, LONG = ord("0"), ord("9"), len("2024-02-01 10:05"), len("2024-02-01 10:05:00")
SIGNS = {4: "-", 7: "-", 10: "T ", 13: ":", 16: ":"}


@dataclass(frozen=True, eq=False)
class QuickRows:
    """Rows as columns: the stamps as they stand, whether they are marked as UTC, temperatures and humidities."""

    when: Minutes
    in_utc: bool
    temps: Floats
    humidities: Floats | None


def quick_rows(rows: Sequence[Sequence[str]], time: int, temp: int, rh: int | None) -> QuickRows | None:
    """Return the columns at these positions, or None where any cell of them is not written the plain way.

    >>> found = quick_rows([["2024-02-01T10:05:00Z", "-3.5", "81"]], 0, 1, 2)
    >>> str(found.when[0]), found.in_utc, float(found.temps[0]), float(found.humidities[0])
    ('2024-02-01T10:05:00', True, -3.5, 81.0)
    >>> quick_rows([["1/2/2024 3:05 PM", "-3.5", "81"]], 0, 1, 2) is None
    True
    """
    try:
        stamps = [row[time] for row in rows]
        temps = _numbers([row[temp] for row in rows])
        humidities = None if rh is None else _numbers([row[rh] for row in rows])
    except (IndexError, ValueError):
        return None
    in_utc = all(stamp[-1:] == "Z" for stamp in stamps)
    when = _moments([stamp[:-1] for stamp in stamps] if in_utc else stamps)
    return None if when is None else QuickRows(when, in_utc, temps, humidities)


def _numbers(cells: list[str]) -> Floats:
    """Plain numbers. Errors: ValueError for anything else, blanks too."""
    numbers = np.fromiter(map(float, cells), dtype=np.float64, count=len(cells))
    if not np.isfinite(numbers).all() or "_" in "".join(cells):
        raise ValueError("not all plain numbers")
    return numbers


def _moments(stamps: list[str]) -> Minutes | None:
    """Stamps such as 2024-02-01 10:05 or 2024-02-01T10:05:00, all of one length, that exist; else None."""
    length = len(stamps[0])
    if length not in (SHORT, LONG) or set(map(len, stamps)) != {length}:
        return None
    letters = np.array(stamps).view(np.uint32).reshape(len(stamps), length)
    for place in range(length):
        column = letters[:, place]
        if place in SIGNS:
            fits = np.isin(column, [ord(sign) for sign in SIGNS[place]])
        else:
            fits = (column >= ZERO) & (column <= NINE)
        if not fits.all():
            return None
    try:
        return np.array(stamps, dtype="datetime64[s]")
    except ValueError:
        return None

"""How a live-edge slab's widths were taken. The basis stays with the slab and is printed on its label."""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from yard.wood.ranges import require_range
from yard.wood.sources import DATA_DIR


@dataclass(frozen=True, slots=True)
class WidthBasis:
    """A way of taking a slab's width: its name for the label, what to measure, source and provenance."""

    key: str
    name: str
    words: str
    source_key: str
    provenance: str


@cache
def width_bases() -> tuple[WidthBasis, ...]:
    """The bases in use; the first, the narrow face inside bark, is common practice, no source.

    >>> width_bases()[0].key
    'narrow-face'
    """
    with (DATA_DIR / "slab_width_bases.csv").open(newline="", encoding="utf-8") as lines:
        return tuple(WidthBasis(**row) for row in csv.DictReader(lines))


@dataclass(frozen=True, slots=True)
class WidthSummary:
    """A slab's widths in short [in]: narrowest, widest, mean of the stations."""

    narrowest_in: float
    widest_in: float
    mean_in: float


def width_summary(widths_in: Sequence[float]) -> WidthSummary:
    """Return the narrowest, widest and mean width of a slab, to be told apart where it flares at a crotch.

    Parameters: widths_in [in], one or more, each 0 to 200. Errors: OutsideRange. Source: COMMON.

    >>> width_summary([18.0, 16.5, 15.0, 16.0, 19.0])
    WidthSummary(narrowest_in=15.0, widest_in=19.0, mean_in=16.9)
    """
    require_range("number of widths", len(widths_in), 1, 1000)
    for width_in in widths_in:
        require_range("width", width_in, 0.0, 200.0, "in")
    return WidthSummary(min(widths_in), max(widths_in), sum(widths_in) / len(widths_in))

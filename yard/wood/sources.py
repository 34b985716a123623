"""The one list of publications behind the figures: data/sources.csv, read once and looked up by key.

SOURCES.md says the same for a reader; a test keeps the two in step.
"""

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

DATA_DIR = Path(__file__).parent / "data"


@dataclass(frozen=True, slots=True)
class Source:
    """A publication: its key, the part of the science it serves, title, year, where in it, provenance."""

    key: str
    topic: str
    title: str
    year: str
    where: str
    provenance: str

    @property
    def text(self) -> str:
        """The source as one line for a reader.

        >>> source("CHASE-1913").text
        'E. A. Chase, Timber Cruising Manual and Record (1913), p. 11, Doyle table (public domain scan)'
        """
        year = f" ({self.year})" if self.year else ""
        where = f", {self.where}" if self.where else ""
        return f"{self.title}{year}{where}"


@cache
def all_sources() -> tuple[Source, ...]:
    """Every source in the order of the table.

    >>> all_sources()[0].key
    'MN-239.33'
    """
    with (DATA_DIR / "sources.csv").open(newline="", encoding="utf-8") as lines:
        return tuple(Source(**row) for row in csv.DictReader(lines))


@cache
def _by_key() -> dict[str, Source]:
    return {row.key: row for row in all_sources()}


def source(key: str) -> Source:
    """Return the source with that key; a key that is not in the table is a KeyError.

    >>> source("WH-GTR190").year
    '2010'
    """
    try:
        return _by_key()[key]
    except KeyError:
        raise KeyError(f"no source {key!r} in yard/wood/data/sources.csv") from None

"""The kiln tables in `data/`, read once."""

import csv
from functools import cache
from pathlib import Path

DATA_DIR = Path(__file__).parent / "data"


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """Return every row of a table of `data/`, as text by column.

    >>> table("temperature_schedules.csv")[0]["code"]
    'T1'
    """
    with (DATA_DIR / name).open(encoding="utf-8", newline="") as lines:
        return tuple(csv.DictReader(lines))

"""Reads the tables of published values in tests/published/: expected values, each row with its source."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parent / "published"


def published(name):
    """Every row of one table, as text by column."""
    with (FOLDER / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))

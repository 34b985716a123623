"""Hardwood grades as data: what a board of each grade must yield. A grade is given by a person, never computed."""

import csv
import math
from dataclasses import dataclass
from functools import cache

from yard.wood.ranges import require_range
from yard.wood.sources import DATA_DIR


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade: least board, least cutting, units a square foot of surface measure, limits on cuttings (or None)."""

    key: str
    name: str
    min_width_in: float
    min_length_ft: float
    min_cutting: str
    units_per_ft2: int
    cuttings_divisor: int | None
    cuttings_added: int | None
    most_cuttings: int | None
    extra_from_ft2: int | None
    extra_to_ft2: int | None
    extra_units_per_ft2: int | None
    cutting_kind: str
    note: str
    source_key: str
    provenance: str

    @property
    def least_yield(self) -> float:
        """The part of the board that must be in cuttings: units of the twelve in a square foot.

        >>> grade("FAS").least_yield == 10 / 12
        True
        """
        return self.units_per_ft2 / 12.0


_TEXT = frozenset({"key", "name", "min_cutting", "cutting_kind", "note", "source_key", "provenance"})
_FLOAT = frozenset({"min_width_in", "min_length_ft"})


@cache
def all_grades() -> tuple[Grade, ...]:
    """The grades, best first. Source: AHEC-MEASURE, grade chart (one chart misprints No. 1 Common's 66-2/3%).

    >>> [row.key for row in all_grades()]
    ['FAS', 'F1F', 'SEL', '1C', '2AC', '2BC', '3AC', '3BC']
    """
    grades = []
    with (DATA_DIR / "nhla_grades.csv").open(newline="", encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            values: dict[str, object] = {}
            for name, text in row.items():
                if name in _TEXT:
                    values[name] = text
                elif name in _FLOAT:
                    values[name] = float(text)
                else:
                    values[name] = int(text) if text else None
            grades.append(Grade(**values))  # type: ignore[arg-type]  # typed by the column sets above
    return tuple(grades)


def grade(key: str) -> Grade:
    """Return the grade with that key; a key that is not in the table is a KeyError.

    >>> grade("1C").name
    'No. 1 Common'
    """
    for row in all_grades():
        if row.key == key:
            return row
    raise KeyError(f"no grade {key!r} in yard/wood/data/nhla_grades.csv")


def cuttings_allowed(key: str, surface_measure_ft2: int) -> int | None:
    """Return how many cuttings a board of that grade may take; None where the grade does not limit them.

    Parameters: key of the grade; surface_measure_ft2 [ft²], 1 to 100. Errors: OutsideRange; KeyError.
    Source: AHEC-MEASURE, grade chart. Check: No. 1 Common of 8 ft²: (8 + 1) / 3 = 3.

    >>> cuttings_allowed("1C", 8), cuttings_allowed("FAS", 40), cuttings_allowed("3AC", 8)
    (3, 4, None)
    """
    row = grade(key)
    require_range("surface measure", surface_measure_ft2, 1, 100, "ft²")
    if row.cuttings_divisor is None or row.cuttings_added is None or row.most_cuttings is None:
        return None
    return min(row.most_cuttings, math.floor((surface_measure_ft2 + row.cuttings_added) / row.cuttings_divisor))


def cutting_units_needed(key: str, surface_measure_ft2: int) -> int:
    """Return the cutting units (1 in x 1 ft each) that a board of that grade must yield.

    Parameters: as for `cuttings_allowed`. Errors: OutsideRange; KeyError.
    Source: AHEC-MEASURE, grade chart. Check: No. 1 Common of 8 ft² must yield 64.

    >>> cutting_units_needed("1C", 8)
    64
    """
    require_range("surface measure", surface_measure_ft2, 1, 100, "ft²")
    return grade(key).units_per_ft2 * surface_measure_ft2


def waste_factor(key: str) -> float:
    """Return the footage to buy for each foot needed, at the least the grade must yield: 1 / yield.

    Errors: KeyError. Source: computed from AHEC-MEASURE; an upper bound, since most boards beat their grade.

    >>> round(waste_factor("FAS"), 2), waste_factor("1C"), waste_factor("2AC")
    (1.2, 1.5, 2.0)
    """
    return 1.0 / grade(key).least_yield

"""Sizes of lumber: what a nominal thickness must measure, and which nominal thickness a sawn board makes."""

import csv
from dataclasses import dataclass
from functools import cache
from typing import Literal

from yard.wood.quarters import quarters_text
from yard.wood.ranges import OutsideRange, require_range
from yard.wood.sources import DATA_DIR

Dimension = Literal["thickness", "width"]


@dataclass(frozen=True, slots=True)
class HardwoodThickness:
    """A standard hardwood thickness: least rough green, least rough kiln-dried, surfaced, and what to saw to [in]."""

    quarters: str
    nominal_in: float
    rough_min_in: float
    rough_provenance: str
    kiln_dried_min_in: float
    kiln_dried_provenance: str
    surfaced_in: float
    surfaced_provenance: str
    saw_to_low_in: float
    saw_to_high_in: float
    saw_to_provenance: str
    source_key: str


@dataclass(frozen=True, slots=True)
class SoftwoodSize:
    """A nominal softwood thickness or width and what it must measure [in]; None where the table is silent."""

    dimension: str
    nominal_in: float
    surfaced_dry_in: float | None
    surfaced_green_in: float | None
    rough_dry_in: float | None
    rough_green_in: float | None
    source_key: str
    provenance: str


@cache
def hardwood_thicknesses() -> tuple[HardwoodThickness, ...]:
    """The standard hardwood thicknesses, thinnest first, 3/8 to 16/4.

    Source: WENGERT-QA (4/4 and 5/4 kiln-dried read); the rest NHLA-GENERAL, from memory, row by row.

    >>> [row.quarters for row in hardwood_thicknesses() if row.nominal_in == 2.0]
    ['8/4']
    """
    with (DATA_DIR / "hardwood_thickness.csv").open(newline="", encoding="utf-8") as lines:
        return tuple(
            HardwoodThickness(
                quarters=row["quarters"],
                nominal_in=float(row["nominal_in"]),
                rough_min_in=float(row["rough_min_in"]),
                rough_provenance=row["rough_provenance"],
                kiln_dried_min_in=float(row["kiln_dried_min_in"]),
                kiln_dried_provenance=row["kiln_dried_provenance"],
                surfaced_in=float(row["surfaced_in"]),
                surfaced_provenance=row["surfaced_provenance"],
                saw_to_low_in=float(row["saw_to_low_in"]),
                saw_to_high_in=float(row["saw_to_high_in"]),
                saw_to_provenance=row["saw_to_provenance"],
                source_key=row["source_key"],
            )
            for row in csv.DictReader(lines)
        )


def nominal_from_sawn_in(sawn_in: float, kiln_dried: bool = False) -> float:
    """Return the nominal thickness that a sawn board makes: the thickest whose least rough size it still measures.

    Parameters: sawn_in [in], from the least rough size of 3/8 to 6; kiln_dried, whether measured after the kiln.
    Returns: nominal thickness [in]. Errors: OutsideRange.
    Source: WENGERT-QA for kiln-dried 4/4 (15/16 in) and 5/4 (1-3/16 in); NHLA-GENERAL, from memory, for others.

    >>> nominal_from_sawn_in(2.125), nominal_from_sawn_in(1.125), nominal_from_sawn_in(0.9375, kiln_dried=True)
    (2.0, 1.0, 1.0)
    """
    rows = hardwood_thicknesses()
    thinnest = rows[0].kiln_dried_min_in if kiln_dried else rows[0].rough_min_in
    require_range("sawn thickness", sawn_in, thinnest, 6.0, "in", "Give the nominal thickness yourself.")
    fits = [row for row in rows if sawn_in >= (row.kiln_dried_min_in if kiln_dried else row.rough_min_in) - 1e-9]
    return fits[-1].nominal_in


def quarters_from_sawn(sawn_in: float, kiln_dried: bool = False) -> str:
    """Return the name in quarters of a sawn board, such as 8/4.

    Parameters, errors and source: as for `nominal_from_sawn_in`.

    >>> quarters_from_sawn(2.125)
    '8/4'
    """
    return quarters_text(nominal_from_sawn_in(sawn_in, kiln_dried))


@cache
def softwood_sizes() -> tuple[SoftwoodSize, ...]:
    """The softwood size table. Source: TN-0080-07-07 table 4; boards under 2 in from PS-20, from memory.

    >>> softwood_size("width", 6.0).surfaced_dry_in
    5.5
    """

    def number(text: str) -> float | None:
        return float(text) if text else None

    with (DATA_DIR / "softwood_sizes.csv").open(newline="", encoding="utf-8") as lines:
        return tuple(
            SoftwoodSize(
                dimension=row["dimension"],
                nominal_in=float(row["nominal_in"]),
                surfaced_dry_in=number(row["surfaced_dry_in"]),
                surfaced_green_in=number(row["surfaced_green_in"]),
                rough_dry_in=number(row["rough_dry_in"]),
                rough_green_in=number(row["rough_green_in"]),
                source_key=row["source_key"],
                provenance=row["provenance"],
            )
            for row in csv.DictReader(lines)
        )


def softwood_size(dimension: Dimension, nominal_in: float) -> SoftwoodSize:
    """Return the sizes of a nominal softwood thickness or width.

    Parameters: dimension; nominal_in [in], one of the table's. Returns: SoftwoodSize [in]. Errors: OutsideRange.
    Source: TN-0080-07-07 table 4. Check: a nominal 4 in thick piece surfaces dry to 3-1/2 in.

    >>> softwood_size("thickness", 4.0).surfaced_dry_in
    3.5
    """
    rows = [row for row in softwood_sizes() if row.dimension == dimension]
    for row in rows:
        if row.nominal_in == nominal_in:
            return row
    low, high = min(row.nominal_in for row in rows), max(row.nominal_in for row in rows)
    raise OutsideRange(f"nominal {dimension}", nominal_in, low, high, "in", "Only the table's sizes are known.")

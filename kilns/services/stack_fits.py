"""Which stacks fit into a kiln: courses, footage and open air by thickness."""

from dataclasses import dataclass

from kilns.models import Kiln
from yard.wood.lumber_sizes import hardwood_thicknesses
from yard.wood.ranges import OutsideRange
from yard.wood.stacking import courses, open_air_area_ft2, stack_board_feet_bf, stack_height_in, sticker_count

STICKER_IN, STICKER_WIDTH_IN, STICKER_SPACING_IN = 0.75, 1.5, 16.0
# in: TM-38-400 and WENGERT-QA (read), as in the yard's rules for stacking
BOARDS_FILL, LIVE_EDGE_FILL = 0.9, 0.7
# of a course's width that is wood (common practice, no source)
THICKNESSES = ("4/4", "5/4", "6/4", "8/4", "10/4", "12/4", "16/4")


@dataclass(frozen=True)
class StackFit:
    """The largest stack of one thickness: courses, height, footage of boards and of live edges, open area."""

    quarters: str
    nominal_in: float
    sawn_in: float
    courses: int
    height_in: float
    board_feet_bf: float
    live_edge_bf: float
    open_area_ft2: float


def stack_fits(kiln: Kiln) -> list[StackFit]:
    """The largest stacks of the usual thicknesses; those of which not even two courses fit are left out."""
    found = []
    for one in hardwood_thicknesses():
        if one.quarters in THICKNESSES:
            try:
                found.append(fit_of(kiln, one.nominal_in, BOARDS_FILL))
            except OutsideRange:
                continue
    return found


def fit_of(kiln: Kiln, nominal_in: float, fill: float) -> StackFit:
    """The largest stack of a nominal thickness in a kiln.

    Parameters: nominal_in [in]; fill of the footage, 0 to 1. Errors: OutsideRange, also where it takes no air.
    Source: PACKAGE-FORMULA; sawn thickness the low figure to saw to (`hardwood_thicknesses`).
    """
    sawn = sawn_in(nominal_in)
    high_in = kiln.stack_height_ft * 12.0
    count = courses(high_in, sawn, STICKER_IN)
    if count < 2:
        raise OutsideRange("courses", count, 2, None, "", "Air must find its way between two courses")
    size = (kiln.stack_width_ft, high_in, kiln.stack_length_ft, nominal_in, sawn, STICKER_IN)
    stickers = sticker_count(kiln.stack_length_ft, STICKER_SPACING_IN)
    open_ft2 = open_air_area_ft2(count, STICKER_IN, kiln.stack_length_ft, stickers, STICKER_WIDTH_IN)
    return StackFit(
        f"{nominal_in * 4:g}/4", nominal_in, sawn, count, stack_height_in(count, sawn, STICKER_IN),
        stack_board_feet_bf(*size, fill), stack_board_feet_bf(*size, LIVE_EDGE_FILL), open_ft2,
    )  # fmt: skip


def sawn_in(nominal_in: float) -> float:
    """The thickness that a nominal one is sawn to: of the table's row, else an eighth over (common practice)."""
    for one in hardwood_thicknesses():
        if one.nominal_in == nominal_in:
            return one.saw_to_low_in
    return nominal_in + 0.125

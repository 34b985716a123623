"""The working of a slab's figures: its face area and its green footage, as `slab_sizes` works them out."""

from dataclasses import replace

from yard import quantities
from yard.models import Slab, SlabKind
from yard.services.slab_sizes import lot_area_in2, lot_board_feet_bf, tally_lines
from yard.wood.board_feet import AreaRule
from yard.wood.working import Working, work_out
from yard.wood.working_measures import working_board_feet, working_slab_area, working_slab_board_feet

UNDER_AN_INCH = "Under 1 in nominal counts as 1 in."


def slab_workings(slab: Slab) -> tuple[Working, ...]:
    """Area first, then footage, of one piece; of a lot, of all its boards."""
    if slab.kind == SlabKind.LOT:
        return _of_lot(slab)
    if len(slab.widths_in) < 3:
        return _of_even_width(slab)
    return _of_widths(slab)


def stations_in_words(widths: int, length_in: float) -> str:
    """Where equal stations lie: "5 widths, one every 24 in from end to end"."""
    if widths < 2:
        return "one width, all along"
    if widths == 2:
        return "2 widths, one at each end"
    return f"{widths} widths, one every {quantities.width(length_in / (widths - 1))} from end to end"


def _of_widths(slab: Slab) -> tuple[Working, ...]:
    rule: AreaRule = "simpson" if slab.area_rule == "simpson" else "trapezoid"
    words = stations_in_words(len(slab.widths_in), slab.length_in)
    area = working_slab_area(slab.widths_in, slab.length_in, rule)
    footage = working_slab_board_feet(slab.widths_in, slab.length_in, slab.quarters / 4, rule)
    return replace(area, notes=(*area.notes, f"{words[0].upper()}{words[1:]}.")), footage


def _of_even_width(slab: Slab) -> tuple[Working, ...]:
    working = working_board_feet(slab.quarters / 4, slab.mean_width_in, slab.length_in / 12)
    if len(slab.widths_in) > 1:
        working = replace(working, notes=(*working.notes, "The width is the mean of the two ends."))
    return (working,)


def _of_lot(slab: Slab) -> tuple[Working, ...]:
    lines = tuple(tally_lines(slab.tally))
    boards = (lines, "boards as (width in, length in, count)", "")
    area = work_out(
        "Face area of all boards", "sum of count × width × length", lot_area_in2, {"lines": boards}, "in²", "MATH"
    )
    footage = work_out(
        "Green footage of all boards",
        "sum of count × nominal thickness × width × length / 144",
        lot_board_feet_bf,
        {"lines": boards, "nominal_in": (slab.quarters / 4, f"nominal thickness ({slab.quarters:g}/4)", "in")},
        "bf",
        "AHEC-MEASURE",
        notes=(UNDER_AN_INCH, "Exact footage; a surface-measure tally rounds each board to a whole foot."),
    )
    return area, footage

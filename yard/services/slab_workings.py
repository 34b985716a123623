"""The working of a slab's figures: its face area and its green footage, as `slab_sizes` works them out."""

from yard.models import Slab, SlabKind
from yard.services.slab_sizes import lot_area_in2, lot_board_feet_bf, tally_lines
from yard.wood import board_feet
from yard.wood.working import Working, work_out

TRAPEZOID = "h × (w₁/2 + w₂ + … + wₙ/2), h = length / (n − 1)"
SIMPSON = "h/3 × (w₁ + 4 w₂ + 2 w₃ + … + wₙ), h = length / (n − 1)"
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
    return f"{widths} widths, one every {length_in / (widths - 1):.4g} in from end to end"


def _of_widths(slab: Slab) -> tuple[Working, ...]:
    widths = tuple(slab.widths_in)
    rule = "Simpson" if slab.area_rule == "simpson" else "trapezoid"
    area = work_out(
        "Face area",
        SIMPSON if slab.area_rule == "simpson" else TRAPEZOID,
        board_feet.slab_area_in2,
        {
            "widths_in": (widths, "widths w₁ … wₙ, butt to top", "in"),
            "length_in": (slab.length_in, "length", "in"),
            "rule": (slab.area_rule, "rule", ""),
        },
        "in²",
        "MATH",
        notes=(f"{rule[0].upper()}{rule[1:]} rule: {stations_in_words(len(widths), slab.length_in)}.",),
    )
    footage = work_out(
        "Green footage",
        "area × nominal thickness / 144",
        board_feet.slab_board_feet_bf,
        {
            "widths_in": (widths, f"widths that make {area.result:,.6g} in²", "in"),
            "length_in": (slab.length_in, "length", "in"),
            "thickness_in": (slab.quarters / 4, f"nominal thickness ({slab.quarters:g}/4)", "in"),
            "rule": (slab.area_rule, "rule", ""),
        },
        "bf",
        "AHEC-MEASURE",
        notes=(UNDER_AN_INCH,),
    )
    return area, footage


def _of_even_width(slab: Slab) -> tuple[Working, ...]:
    words = "width" if len(slab.widths_in) == 1 else "mean of the two ends' widths"
    footage = work_out(
        "Green footage",
        "nominal thickness × width × length / 12",
        board_feet.board_feet_bf,
        {
            "thickness_in": (slab.quarters / 4, f"nominal thickness ({slab.quarters:g}/4)", "in"),
            "width_in": (slab.mean_width_in, words, "in"),
            "length_ft": (slab.length_in / 12, "length", "ft"),
        },
        "bf",
        "AHEC-MEASURE",
        notes=(UNDER_AN_INCH,),
    )
    return (footage,)


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

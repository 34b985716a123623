"""Footage of boards and live-edge slabs: board feet, surface measure, area from widths along the length.

A board foot is 144 in³. Dimensions are kept exact and only a result is rounded; surface measure is the one
figure that the trade itself rounds, board by board.
"""

import math
from collections.abc import Iterable, Sequence
from typing import Literal

from yard.wood.quarters import counted_thickness_in
from yard.wood.ranges import OutsideRange, require_range

AreaRule = Literal["trapezoid", "simpson"]

IN3_PER_BF = 144.0  # in³ a board foot; MN-239.33
_SLACK = 1e-9  # a width typed in millimetres lands a hair off the half or the whole foot


class SimpsonNeedsOddWidths(OutsideRange):
    """Simpson's rule was asked for an even number of widths, which makes an odd number of intervals.

    >>> str(SimpsonNeedsOddWidths(4))
    "Simpson's rule needs an odd number of widths, not 4. Measure one more, or use the trapezoid rule."
    """

    def __init__(self, count: int) -> None:
        super().__init__("widths", float(count), 3.0, None)
        self.args = (
            f"Simpson's rule needs an odd number of widths, not {count}. Measure one more, or use the trapezoid rule.",
        )


class UnknownChoice(OutsideRange):
    """A word was given that is none of those a function knows.

    >>> str(UnknownChoice("rule", "prismoidal", ("trapezoid", "simpson")))
    "rule 'prismoidal' is none of trapezoid, simpson"
    """

    def __init__(self, what: str, given: object, known: tuple[str, ...]) -> None:
        super().__init__(what, float("nan"), None, None)
        self.known = known
        self.args = (f"{what} {repr(given)[:40]} is none of {', '.join(known)}",)


def _require_choice(what: str, given: object, known: tuple[str, ...]) -> None:
    if given not in known:
        raise UnknownChoice(what, given, known)


def _require_board(width_in: float, length_ft: float) -> None:
    require_range("width", width_in, 0.0, 200.0, "in")
    require_range("length", length_ft, 0.0, 200.0, "ft")


def board_feet_bf(thickness_in: float, width_in: float, length_ft: float) -> float:
    """Return a board's board feet: nominal thickness x width x length / 12, under 1 in counted as 1 in.

    Parameters: thickness_in [in], nominal, above 0 to 40; width_in [in], 0 to 200; length_ft [ft], 0 to 200.
    Returns: footage [bf], not rounded. Errors: OutsideRange.
    Source: AHEC-MEASURE, NAVY-EA; a Tennessee tally prints 2 x 10 in x 7 ft as 11.7 (TN-0080-07-07, table 3).

    >>> round(board_feet_bf(2.0, 10.0, 7.0), 1)
    11.7
    >>> board_feet_bf(thickness_in=0.75, width_in=6.0, length_ft=8.0)
    4.0
    """
    _require_board(width_in, length_ft)
    return counted_thickness_in(thickness_in) * width_in * length_ft / 12.0


def volume_bf(thickness_in: float, width_in: float, length_ft: float) -> float:
    """Return the wood really there, in board feet of 144 in³, whatever the trade counts.

    Parameters and errors: as for `board_feet_bf`, the thickness as sawn. Source: MN-239.33.

    >>> volume_bf(0.75, 6.0, 8.0)
    3.0
    """
    _require_board(width_in, length_ft)
    require_range("thickness", thickness_in, 0.0, 40.0, "in")
    return thickness_in * width_in * length_ft * 12.0 / IN3_PER_BF


def surface_measure_ft2(width_in: float, length_ft: float, half: Literal["up", "down"] = "up") -> int:
    """Return a board's surface measure: width x whole feet of length / 12, to the nearest whole square foot.

    Parameters: width_in [in], 0 to 200; length_ft [ft], 0 to 200, a part of a foot dropped; half, which way
    an exact half goes (a tally alternates it). Returns: surface measure [ft²]. Errors: OutsideRange.
    Source: AHEC-MEASURE; NHLA-RULES paragraphs 16 and 18. Check: 6-1/2 in x 8 ft = 4-1/3, counted 4.

    >>> surface_measure_ft2(6.5, 8.0), surface_measure_ft2(8.0, 12.9)
    (4, 8)
    >>> surface_measure_ft2(9.0, 10.0), surface_measure_ft2(9.0, 10.0, half="down")
    (8, 7)
    """
    _require_board(width_in, length_ft)
    _require_choice("half", half, ("up", "down"))
    exact = width_in * math.floor(length_ft + _SLACK) / 12.0
    whole = math.floor(exact + _SLACK)
    rest = exact - whole
    if abs(rest - 0.5) <= _SLACK:
        return whole + 1 if half == "up" else whole
    return whole + 1 if rest > 0.5 else whole


def _is_half(width_in: float, length_ft: float) -> bool:
    return surface_measure_ft2(width_in, length_ft, "up") != surface_measure_ft2(width_in, length_ft, "down")


def tally_surface_measures_ft2(boards: Iterable[tuple[float, float]]) -> tuple[int, ...]:
    """Return the surface measure of each board of a tally; exact halves go up and down in turn, the first up.

    Parameters: boards as (width_in [in], length_ft [ft]). Returns: surface measures [ft²].
    Errors: OutsideRange. Source: AHEC-MEASURE and KING-WOODWORK (halves alternate from board to board); which
    way the first goes is common practice, no source.

    >>> tally_surface_measures_ft2([(9.0, 10.0), (8.0, 12.0), (9.0, 10.0), (9.0, 10.0)])
    (8, 8, 7, 8)
    """
    halves = 0
    measures = []
    for width_in, length_ft in boards:
        half: Literal["up", "down"] = "up" if halves % 2 == 0 else "down"
        measures.append(surface_measure_ft2(width_in, length_ft, half))
        halves += _is_half(width_in, length_ft)
    return tuple(measures)


def tally_board_feet_bf(boards: Iterable[tuple[float, float]], thickness_in: float) -> float:
    """Return the board feet of a tally of one thickness: total surface measure, multiplied once.

    Parameters: boards as (width_in [in], length_ft [ft]); thickness_in [in], nominal. Returns: footage [bf].
    Errors: OutsideRange. Source: NHLA-RULES paragraph 18. Check: 6-1/4 in x 8 ft of 8/4 is 4 x 2 = 8 bf.

    >>> tally_board_feet_bf([(6.25, 8.0)], 2.0)
    8.0
    """
    return sum(tally_surface_measures_ft2(boards)) * counted_thickness_in(thickness_in)


def slab_area_in2(widths_in: Sequence[float], length_in: float, rule: AreaRule = "trapezoid") -> float:
    """Return a live-edge slab's area from widths at equal stations, the first and last at its ends.

    Parameters: widths_in [in], three or more, each 0 to 200; length_in [in], above 0 to 2,400; rule
    "trapezoid", or "simpson" where the widths are odd in number. Returns: area [in²].
    Errors: OutsideRange; SimpsonNeedsOddWidths; UnknownChoice.
    Source: MATH, trapezoid and Simpson rules. Check: widths 18, 16.5, 15, 16, 19 at 24 in.

    >>> slab_area_in2([18.0, 16.5, 15.0, 16.0, 19.0], 96.0)
    1584.0
    >>> slab_area_in2(widths_in=[18.0, 16.5, 15.0, 16.0, 19.0], length_in=96.0, rule="simpson")
    1576.0
    """
    count = len(widths_in)
    require_range("number of widths", float(count), 3.0, 1000.0, "", "Measure at both ends and in between.")
    for width_in in widths_in:
        require_range("width", width_in, 0.0, 200.0, "in")
    require_range("length", length_in, 0.001, 2400.0, "in")
    _require_choice("rule", rule, ("trapezoid", "simpson"))
    step_in = length_in / (count - 1)
    ends, inner = widths_in[0] + widths_in[-1], widths_in[1:-1]
    if rule == "trapezoid":
        return step_in * (ends / 2.0 + math.fsum(inner))
    if not simpson_offered(count):
        raise SimpsonNeedsOddWidths(count)
    return step_in / 3.0 * (ends + 4.0 * math.fsum(inner[::2]) + 2.0 * math.fsum(inner[1::2]))


def simpson_offered(width_count: int) -> bool:
    """Say whether Simpson's rule fits that many widths: the intervals must be even in number. Source: MATH.

    >>> simpson_offered(5), simpson_offered(4)
    (True, False)
    """
    return width_count >= 3 and width_count % 2 == 1


def slab_board_feet_bf(
    widths_in: Sequence[float], length_in: float, thickness_in: float, rule: AreaRule = "trapezoid"
) -> float:
    """Return a live-edge slab's board feet: area x nominal thickness / 144, under 1 in counted as 1 in.

    Parameters: widths_in, length_in and rule as for `slab_area_in2`; thickness_in [in], nominal.
    Returns: footage [bf], not rounded. Errors: OutsideRange; SimpsonNeedsOddWidths.
    Source: MATH for the area; AHEC-MEASURE for the footage.

    >>> slab_board_feet_bf([18.0, 16.5, 15.0, 16.0, 19.0], 96.0, 2.0)
    22.0
    """
    return slab_area_in2(widths_in, length_in, rule) * counted_thickness_in(thickness_in) / IN3_PER_BF


def taper_board_width_in(narrow_in: float, wide_in: float) -> float:
    """Return the width at which a straight tapering board is counted: a third of the way from its narrow end.

    Parameters: narrow_in, wide_in [in], 0 to 200. Returns: width [in]. Errors: OutsideRange.
    Source: NHLA-GENERAL, from memory: check against the rule book.

    >>> taper_board_width_in(6.0, 9.0)
    7.0
    """
    require_range("wide end", wide_in, 0.0, 200.0, "in")
    require_range("narrow end", narrow_in, 0.0, wide_in, "in")
    return narrow_in + (wide_in - narrow_in) / 3.0


def end_tally_size(width_in: float, length_ft: float, half: Literal["up", "down"] = "up") -> tuple[int, int]:
    """Return what an end tally counts: width to the nearest inch, length to the foot below.

    Parameters: as for `surface_measure_ft2`. Returns: [in], [ft]. Errors: OutsideRange.
    Source: AHEC-MEASURE, bundle tally. Check: 5-1/4 in x 8-1/2 ft is tallied 5 in x 8 ft.

    >>> end_tally_size(5.25, 8.5)
    (5, 8)
    """
    _require_board(width_in, length_ft)
    _require_choice("half", half, ("up", "down"))
    whole = math.floor(width_in + _SLACK)
    rest = width_in - whole
    up = rest > 0.5 + _SLACK or (abs(rest - 0.5) <= _SLACK and half == "up")
    return whole + up, math.floor(length_ft + _SLACK)


def oversize_factor(thickness_in: float, nominal_in: float, length_in: float, counted_ft: float) -> float:
    """Return the wood really there for each board foot counted: over-thickness x over-length.

    Parameters: thickness_in [in], as sawn, above 0 to 40; nominal_in [in], as counted; length_in [in], with its
    trim, above 0 to 2,400; counted_ft [ft], whole feet counted, 1 to 200. Returns: a factor on the tally's weight.
    Errors: OutsideRange. Source: WENGERT-FF69 example 2: 8/4 sawn 2-5/32 in is 1.078.

    >>> round(oversize_factor(2.15625, 2.0, length_in=96.0, counted_ft=8.0), 3)
    1.078
    """
    require_range("thickness", thickness_in, 0.001, 40.0, "in")
    require_range("length", length_in, 0.001, 2400.0, "in")
    require_range("counted length", counted_ft, 1.0, 200.0, "ft")
    return thickness_in / counted_thickness_in(nominal_in) * length_in / (counted_ft * 12.0)

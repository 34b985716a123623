"""A stickered stack as geometry: courses, footage, the openings that air goes through, and its weight."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from yard.wood.quarters import counted_thickness_in
from yard.wood.ranges import require_range
from yard.wood.stacking_rules import stacking_rule

_SLACK = 1e-9  # a height that fits exactly must not lose a course to rounding


def _require_layers(thickness_in: float, sticker_in: float) -> None:
    require_range("thickness", thickness_in, 0.05, 40.0, "in")
    require_range("sticker thickness", sticker_in, 0.0, 12.0, "in")


def courses(height_in: float, thickness_in: float, sticker_in: float) -> int:
    """Return how many courses fit in a height, with a sticker between each two: floor((H + s) / (t + s)).

    Parameters: height_in [in], 0 to 400; thickness_in [in], as sawn, 0.05 to 40; sticker_in [in], 0 to 12.
    Returns: courses. Errors: OutsideRange.
    Source: PACKAGE-FORMULA. Check: 54 in of 1-1/8 in boards on 3/4 in stickers takes 29 courses.

    >>> courses(54.0, 1.125, 0.75)
    29
    """
    require_range("height", height_in, 0.0, 400.0, "in")
    _require_layers(thickness_in, sticker_in)
    if height_in < thickness_in:
        return 0
    return math.floor((height_in + sticker_in) / (thickness_in + sticker_in) + _SLACK)


def stack_height_in(course_count: int, thickness_in: float, sticker_in: float) -> float:
    """Return the height of that many courses, stickers only in between.

    Parameters: course_count, 0 to 400; others as for `courses`. Returns: height [in]. Errors: OutsideRange.
    Source: PACKAGE-FORMULA.

    >>> stack_height_in(29, 1.125, 0.75)
    53.625
    """
    require_range("courses", course_count, 0, 400)
    _require_layers(thickness_in, sticker_in)
    return course_count * thickness_in + max(0, course_count - 1) * sticker_in


def stack_board_feet_bf(
    width_ft: float,
    height_in: float,
    length_ft: float,
    nominal_in: float,
    thickness_in: float,
    sticker_in: float,
    fill: float,
) -> float:
    """Return the footage of a stack: courses x width x fill x length x nominal thickness.

    Parameters: width_ft [ft], 0 to 20; height_in [in], 0 to 400; length_ft [ft], 0 to 60; nominal_in [in],
    counted as 1 where under; thickness_in [in], as sawn; sticker_in [in]; fill, the part of a course's width
    that is wood, 0 to 1 (about 0.9 for boards, 0.7 for live edges: common practice, no source).
    Returns: footage [bf]. Errors: OutsideRange.
    Source: PACKAGE-FORMULA. Check: 4 x 4-1/2 x 10 ft of 4/4 sawn 1-1/8, 3/4 in stickers, fill 0.9: 1,044 bf.

    >>> stack_board_feet_bf(4.0, 54.0, 10.0, nominal_in=1.0, thickness_in=1.125, sticker_in=0.75, fill=0.9)
    1044.0
    """
    require_range("stack width", width_ft, 0.0, 20.0, "ft")
    require_range("stack length", length_ft, 0.0, 60.0, "ft")
    require_range("fill", fill, 0.0, 1.0)
    face_ft2 = width_ft * fill * length_ft
    return courses(height_in, thickness_in, sticker_in) * face_ft2 * counted_thickness_in(nominal_in)


def open_air_area_ft2(
    course_count: int, sticker_in: float, length_ft: float, sticker_count: int, sticker_width_in: float
) -> float:
    """Return the open area that air crossing the stack goes through: gaps x sticker x length free of stickers.

    Parameters: course_count, 1 to 400; sticker_in [in], 0 to 12, the height of a gap; length_ft [ft], above 0
    to 60; sticker_count along the length; sticker_width_in [in], 0 to 12. Returns: area [ft²].
    Errors: OutsideRange, also where the stickers are wider together than the stack is long.
    Source: PACKAGE-FORMULA. Check: 29 courses, 3/4 in gaps, 10 ft, six stickers of 1-1/4 in.

    >>> round(open_air_area_ft2(29, 0.75, 10.0, sticker_count=6, sticker_width_in=1.25), 2)
    16.41
    """
    require_range("courses", course_count, 1, 400)
    require_range("sticker thickness", sticker_in, 0.0, 12.0, "in")
    require_range("stack length", length_ft, 0.01, 60.0, "ft")
    require_range("sticker width", sticker_width_in, 0.0, 12.0, "in")
    require_range("stickers", sticker_count, 0, 200)
    free_in = length_ft * 12.0 - sticker_count * sticker_width_in
    require_range("length free of stickers", free_in, 0.0, length_ft * 12.0, "in")
    return (course_count - 1) * sticker_in * free_in / 144.0


def air_flow_cfm(open_area_ft2: float, speed_fpm: float) -> float:
    """Return the air a fan must move for a speed through the stack: open area x speed.

    Parameters: open_area_ft2 [ft²], 0 up; speed_fpm [ft/min], 0 to 2,000. Returns: [ft³/min].
    Errors: OutsideRange. Source: PACKAGE-FORMULA (continuity).

    >>> air_flow_cfm(16.0, 250.0)
    4000.0
    """
    require_range("open area", open_area_ft2, 0.0, 10_000.0, "ft²")
    require_range("air speed", speed_fpm, 0.0, 2000.0, "ft/min")
    return open_area_ft2 * speed_fpm


def sticker_count(length_ft: float, spacing_in: float) -> int:
    """Return how many stickers a course takes: one at each end and none further apart than the spacing.

    Parameters: length_ft [ft], above 0 to 60; spacing_in [in] from middle to middle, 4 to 60. Returns: stickers.
    Errors: OutsideRange. Source: USDA-B510 (flush with the ends).

    >>> sticker_count(10.0, 24.0), sticker_count(10.0, 16.0)
    (6, 9)
    """
    require_range("stack length", length_ft, 0.01, 60.0, "ft")
    require_range("sticker spacing", spacing_in, 4.0, 60.0, "in")
    return math.ceil(length_ft * 12.0 / spacing_in - _SLACK) + 1


@dataclass(frozen=True, slots=True)
class StackWeight:
    """A stack's weight as an estimate: the figure, between what and what, how it was come by, and why so wide."""

    weight_lb: float
    low_lb: float
    high_lb: float
    method: str
    reasons: tuple[str, ...]


def stack_weight_lb(board_weights_lb: Sequence[float], board_count: int) -> StackWeight:
    """Return a stack's weight from boards weighed out of it: their mean x the boards in the stack.

    Parameters: board_weights_lb [lb], one to board_count of them, each above 0 to 20,000; board_count, boards
    in the stack, up to 100,000. Returns: StackWeight [lb]; exact where every board was weighed, else within
    the usual 15%. Errors: OutsideRange.
    Source: COMMON for the 15%: never lift by a computed weight.

    >>> stack_weight_lb([20.0, 22.0], 2).weight_lb
    42.0
    >>> weight = stack_weight_lb([20.0, 22.0], 100)
    >>> weight.weight_lb, round(weight.low_lb), round(weight.high_lb)
    (2100.0, 1785, 2415)
    """
    weighed = len(board_weights_lb)
    require_range("boards in the stack", board_count, 1, 100_000)
    require_range("boards weighed", weighed, 1, board_count)
    for weight_lb in board_weights_lb:
        require_range("weight of a board", weight_lb, 0.001, 20_000.0, "lb")
    total_lb = math.fsum(board_weights_lb)
    if weighed == board_count:
        return StackWeight(total_lb, total_lb, total_lb, "every board weighed", ("stickers are not in it",))
    rule = stacking_rule("weight-range")
    whole_lb = total_lb * board_count / weighed
    low_lb, high_lb = (whole_lb * (1.0 + (side or 0.0) / 100.0) for side in (rule.low, rule.high))
    return StackWeight(whole_lb, low_lb, high_lb, f"{weighed} of {board_count} boards weighed", (rule.words,))


def stack_weight_only_lb(board_weights_lb: Sequence[float], board_count: int) -> float:
    """Return the middle figure of `stack_weight_lb`, for a sum; parameters, errors and source are the same.

    >>> stack_weight_only_lb([20.0, 22.0], 100)
    2100.0
    """
    return stack_weight_lb(board_weights_lb, board_count).weight_lb

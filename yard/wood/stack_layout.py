"""A stack as it was really laid, course by course: its height, its weight, and a piece that lies over the edge."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from yard.wood.density import weight_per_green_bf_lb
from yard.wood.ranges import require_range
from yard.wood.stacking import StackWeight
from yard.wood.stacking_rules import stacking_rule


@dataclass(frozen=True, slots=True)
class LaidWood:
    """Wood of one kind in a stack: species key, solid green volume [bf of 144 in³] and moisture content [%]."""

    species: str
    green_bf: float
    mc_pct: float


def laid_height_in(course_thicknesses_in: Sequence[float], sticker_in: float) -> float:
    """Return the height of courses of these thicknesses with one sticker between each two.

    Parameters: course_thicknesses_in [in], bottom first, each 0.05 to 40, the thickest piece of the course;
    sticker_in [in], 0 to 12. Returns: height [in], nothing for no course. Errors: OutsideRange.
    Source: PACKAGE-FORMULA, summed course by course. Check: 29 courses of 1-1/8 in on 3/4 in stickers.

    >>> laid_height_in([1.125] * 29, 0.75), laid_height_in([2.0, 1.0], 1.0), laid_height_in([], 1.0)
    (53.625, 4.0, 0.0)
    """
    require_range("sticker thickness", sticker_in, 0.0, 12.0, "in")
    for thickness_in in course_thicknesses_in:
        require_range("thickness of a course", thickness_in, 0.05, 40.0, "in")
    return math.fsum(course_thicknesses_in) + max(0, len(course_thicknesses_in) - 1) * sticker_in


def laid_weight_only_lb(wood: Sequence[LaidWood]) -> float:
    """Return the weight of the wood in a stack by its volume, specific gravity and moisture content.

    Parameters: `wood` as it lies there. Returns: weight [lb], without stickers. Errors: OutsideRange.
    Source: WH-GTR282 Eq. 4-14 on the green volume. Check: 1,000 bf of white oak at FIA's green 68.3% weighs
    about 5,200 lb (WENGERT-FF69).

    >>> abs(laid_weight_only_lb([LaidWood("oak-white", 1000.0, 68.3)]) - 5200) < 100
    True
    """
    return math.fsum(one.green_bf * weight_per_green_bf_lb(one.species, one.mc_pct) for one in wood)


def laid_weight_lb(wood: Sequence[LaidWood], method: str) -> StackWeight:
    """Return that weight with the usual 15% either way: never lift by a computed weight.

    Parameters: as for `laid_weight_only_lb`; `method` says in words where the moisture contents come from.
    Errors: OutsideRange. Source: WH-GTR282 Eq. 4-14; COMMON for the 15%.

    >>> weight = laid_weight_lb([LaidWood("oak-white", 100.0, 60.0)], "green average")
    >>> weight.low_lb < weight.weight_lb < weight.high_lb
    True
    """
    rule = stacking_rule("weight-range")
    whole_lb = laid_weight_only_lb(wood)
    low_lb, high_lb = (whole_lb * (1.0 + (side or 0.0) / 100.0) for side in (rule.low, rule.high))
    return StackWeight(whole_lb, low_lb, high_lb, method, (rule.words, "stickers are not in it"))

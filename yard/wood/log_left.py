"""What is left of a log on the mill: a rough figure from its volume less what was sawn from it with its kerf.

Bark, slab wood cast aside, crook and taper are not seen: the figure only helps to plan the next cuts.
"""

import math

from yard.wood.ranges import require_range

FT3_PER_IN3 = 1.0 / 1728.0
_STEPS = 60  # halvings; past a millionth of an inch after 30


def taken_ft3(area_in2: float, thickness_in: float, kerf_in: float) -> float:
    """Return the wood that a slab takes out of the log: its face times its thickness and one kerf.

    Parameters: area_in2 [in²], of one face, 0 up; thickness_in [in], 0 to 40; kerf_in [in], 0 to 1.
    Returns: [ft³]. Errors: OutsideRange. Source: MATH.

    >>> taken_ft3(1584.0, 2.0, 0.25)
    2.0625
    """
    require_range("area", area_in2, 0.0, 1e7, "in²")
    require_range("thickness", thickness_in, 0.0, 40.0, "in")
    require_range("kerf", kerf_in, 0.0, 1.0, "in")
    return area_in2 * (thickness_in + kerf_in) * FT3_PER_IN3


def mid_diameter_in(small_end_in: float, large_end_in: float) -> float:
    """Return the diameter of the cylinder with the log's Smalian volume.

    Parameters: both ends [in], above 0 to 200. Returns: [in]. Errors: OutsideRange.
    Source: MATH, the mean of the two end areas as in Smalian's formula.

    >>> round(mid_diameter_in(12.0, 16.0), 3)
    14.142
    """
    require_range("small end", small_end_in, 0.001, 200.0, "in")
    require_range("large end", large_end_in, 0.001, 200.0, "in")
    return math.sqrt((small_end_in**2 + large_end_in**2) / 2.0)


def depth_left_in(diameter_in: float, share_left: float) -> float:
    """Return how thick the rest of a round log is when it was sawn straight through from one side.

    The rest is the segment of the circle that has `share_left` of its area.
    Parameters: diameter_in [in], above 0 to 200; share_left 0 to 1. Returns: [in]. Errors: OutsideRange.
    Source: MATH, area of a circular segment. Check: half the area is half the diameter.

    >>> round(depth_left_in(16.0, 0.5), 6), depth_left_in(16.0, 0.0), round(depth_left_in(16.0, 1.0), 6)
    (8.0, 0.0, 16.0)
    """
    require_range("diameter", diameter_in, 0.001, 200.0, "in")
    require_range("share left", share_left, 0.0, 1.0)
    if share_left == 0.0:
        return 0.0
    low, high = 0.0, diameter_in
    for _ in range(_STEPS):
        depth = (low + high) / 2.0
        if segment_share(diameter_in, depth) < share_left:
            low = depth
        else:
            high = depth
    return (low + high) / 2.0


def segment_share(diameter_in: float, depth_in: float) -> float:
    """Return the share of a circle's area that lies within a depth from one side.

    Parameters: diameter_in [in], above 0 to 200; depth_in [in], 0 to the diameter. Errors: OutsideRange.
    Source: MATH, area of a circular segment. Check: a quarter of the depth holds 19.55% (tables of segments,
    from memory).

    >>> round(segment_share(16.0, 4.0), 4)
    0.1955
    """
    require_range("diameter", diameter_in, 0.001, 200.0, "in")
    require_range("depth", depth_in, 0.0, diameter_in, "in")
    angle = 2.0 * math.acos(1.0 - 2.0 * depth_in / diameter_in)
    return (angle - math.sin(angle)) / (2.0 * math.pi)

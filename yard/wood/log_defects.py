"""What is taken off a log's gross scale for rot, sweep and splits, and how a long log is parted for scaling.

The scaling handbook knows four ways: square the defect, cut a pie, shorten the log, thin the log. Which one fits
is the scaler's judgment; more than one may serve in one log, and a mill's own saw-out is the test of all four.
"""

import math

from yard.wood.log_rules import log_scale_bf
from yard.wood.ranges import require_range


def squared_defect_bf(width_in: float, height_in: float, length_ft: float) -> float:
    """Return the board feet lost to a defect inside the log, boxed in: width x height x length / 15.

    A fifth of the box would have been sawdust (1 in boards, 1/4 in kerf), so 15 and not 12.
    Parameters: width_in, height_in [in] of the box round the defect at its larger end, 0 to 120;
    length_ft [ft], 0 to 60. Returns: footage [bf], not rounded. Errors: OutsideRange.
    Source: FSH-2409.11 section 22 for the method; the divisor from memory: check against the handbook.

    >>> squared_defect_bf(6.0, 5.0, 8.0)
    16.0
    """
    require_range("width of the defect", width_in, 0.0, 120.0, "in")
    require_range("height of the defect", height_in, 0.0, 120.0, "in")
    require_range("length of the defect", length_ft, 0.0, 60.0, "ft")
    return width_in * height_in * length_ft / 15.0


def pie_cut_bf(gross_bf: float, part_of_circle: float, part_of_length: float = 1.0) -> float:
    """Return the board feet lost to a wedge: the share of the end, times the share of the length, of the scale.

    Parameters: gross_bf [bf], 0 up; part_of_circle and part_of_length as fractions, 0 to 1.
    Returns: footage [bf]. Errors: OutsideRange.
    Source: FSH-2409.11 section 23 for the method; its arithmetic from memory.

    >>> pie_cut_bf(120.0, 0.25, 0.5)
    15.0
    """
    require_range("gross scale", gross_bf, 0.0, 1e6, "bf")
    require_range("share of the end", part_of_circle, 0.0, 1.0)
    require_range("share of the length", part_of_length, 0.0, 1.0)
    return gross_bf * part_of_circle * part_of_length


def length_deduction_bf(rule: str, diameter_in: float, length_ft: float, lost_ft: float) -> float:
    """Return the board feet lost where a length of the log is good for nothing: scale less shortened scale.

    Parameters: rule, a key of LOG_RULES; diameter_in [in] and length_ft [ft] as for the rule; lost_ft [ft], 0
    to the log's length. Returns: footage [bf]. Errors: OutsideRange; KeyError.
    Source: FSH-2409.11 section 24 for the method; its arithmetic from memory.

    >>> length_deduction_bf("doyle", 12.0, 16.0, 4.0)
    16.0
    """
    gross_bf = log_scale_bf(rule, diameter_in, length_ft)
    require_range("length lost", lost_ft, 0.0, length_ft, "ft")
    left_ft = length_ft - lost_ft
    return gross_bf - (log_scale_bf(rule, diameter_in, left_ft) if left_ft >= 1.0 else 0.0)


def diameter_deduction_bf(rule: str, diameter_in: float, length_ft: float, lost_in: float) -> float:
    """Return the board feet lost to a bad outside (rotten sap, checks): scale less the scale of the sound core.

    Parameters: rule, a key of LOG_RULES; diameter_in [in] and length_ft [ft] as for the rule; lost_in [in] off
    the diameter, 0 to the diameter. Returns: footage [bf]. Errors: OutsideRange; KeyError.
    Source: FSH-2409.11 section 25 for the method; its arithmetic from memory.

    >>> diameter_deduction_bf("doyle", 16.0, 16.0, 4.0)
    80.0
    """
    gross_bf = log_scale_bf(rule, diameter_in, length_ft)
    require_range("diameter lost", lost_in, 0.0, diameter_in, "in")
    core_in = diameter_in - lost_in
    return gross_bf - (log_scale_bf(rule, core_in, length_ft) if core_in >= 4.0 else 0.0)


def net_scale_bf(gross_bf: float, lost_bf: float = 0.0, lost_pct: float = 0.0) -> float:
    """Return the net scale: gross less a deduction in board feet and one in percent of the gross, never below 0.

    Parameters: gross_bf [bf], 0 up; lost_bf [bf], 0 up, taken to the nearest whole board foot, a half up;
    lost_pct [%], 0 to 100. Returns: footage [bf]. Errors: OutsideRange.
    Source: FSH-2409.11 section 21, rounding of a deduction.

    >>> net_scale_bf(95.0, lost_bf=15.5), net_scale_bf(100.0, lost_pct=12.0)
    (79.0, 88.0)
    """
    require_range("gross scale", gross_bf, 0.0, 1e6, "bf")
    require_range("footage lost", lost_bf, 0.0, 1e6, "bf")
    require_range("share lost", lost_pct, 0.0, 100.0, "%")
    lost_in_all_bf = math.floor(lost_bf + gross_bf * lost_pct / 100.0 + 0.5)
    return max(0.0, gross_bf - lost_in_all_bf)


def scaling_lengths_ft(length_ft: float) -> tuple[float, ...]:
    """Return the lengths that a long log is scaled in: even feet, as nearly equal as can be, the longer first.

    Parameters: length_ft [ft], 1 to 60. Under 18 ft it is one log; 18 to under 34 ft two; from 34 ft three.
    Returns: lengths [ft] that add up to the log. Errors: OutsideRange.
    Source: OCGA-2-14-80 (the rule; what is over beyond even feet stays with the last, the shortest). Check: 18 ft.

    >>> scaling_lengths_ft(20.0), scaling_lengths_ft(18.0), scaling_lengths_ft(16.0)
    ((10.0, 10.0), (10.0, 8.0), (16.0,))
    """
    require_range("log length", length_ft, 1.0, 60.0, "ft")
    pieces = 1 if length_ft < 18.0 else 2 if length_ft < 34.0 else 3
    if pieces == 1:
        return (length_ft,)
    pairs = int(length_ft // 2.0)
    even_ft = [2.0 * (pairs // pieces + (number < pairs % pieces)) for number in range(pieces)]
    return (*even_ft[:-1], even_ft[-1] + length_ft - math.fsum(even_ft))


def jas_m3(diameter_cm: float, length_m: float) -> float:
    """Return a log's cubic metres by the Japanese agricultural standard.

    Parameters: diameter_cm [cm] at the small end, 5 to 200, dropped to the whole centimetre under 14 and to the
    even one from 14; length_m [m], 0.5 to 20. Returns: volume [m³]. Errors: OutsideRange.
    Source: JAS-LOGS. Check: 24 cm x 4 m.

    >>> round(jas_m3(25.9, 4.0), 4)
    0.2304
    """
    require_range("small-end diameter", diameter_cm, 5.0, 200.0, "cm")
    require_range("log length", length_m, 0.5, 20.0, "m")
    whole_cm = math.floor(diameter_cm) if diameter_cm < 14.0 else 2 * math.floor(diameter_cm / 2.0)
    if length_m < 6.0:
        return whole_cm**2 * length_m / 10_000.0
    return (whole_cm + (math.floor(length_m) - 4) / 2.0) ** 2 * length_m / 10_000.0

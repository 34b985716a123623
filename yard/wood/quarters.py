"""Quarters, the trade's way of naming thickness: 8/4 is eight quarters, two inches nominal."""

import re
from fractions import Fraction

from yard.wood.ranges import require_range
from yard.wood.typed_numbers import CannotRead, cleaned

_QUARTERS = re.compile(r"([0-9]{1,3}) ?/ ?(4|8|2)")


def nominal_in(quarters_text: str) -> float:
    """Return the nominal thickness that a name in quarters stands for; thin stock is named 5/8 or 3/4.

    Parameters: quarters_text, such as "8/4". Returns: thickness [in].
    Errors: CannotRead for anything that is not such a name; OutsideRange over 160/4.
    Source: NHLA-GENERAL, standard thickness.

    >>> nominal_in("8/4"), nominal_in("5/4"), nominal_in("5/8")
    (2.0, 1.25, 0.625)
    """
    match = _QUARTERS.fullmatch(cleaned(quarters_text))
    if not match or int(match[1]) == 0 or (match[2] != "4" and int(match[1]) >= int(match[2])):
        raise CannotRead(f"“{quarters_text.strip()}” is not a thickness in quarters: type it like 8/4.")
    return require_range("nominal thickness", int(match[1]) / int(match[2]), 0.125, 40.0, "in")


def quarters_text(nominal_thickness_in: float) -> str:
    """Return the name in quarters of a nominal thickness: 2 in is 8/4.

    Parameters: nominal_thickness_in [in], 0.125 to 40, a whole number of quarters, or of eighths under 1 in.
    Errors: OutsideRange; CannotRead for a thickness that the trade has no such name for.
    Source: NHLA-GENERAL, standard thickness.

    >>> quarters_text(2.0), quarters_text(1.25), quarters_text(0.75), quarters_text(0.625)
    ('8/4', '5/4', '3/4', '5/8')
    """
    require_range("nominal thickness", nominal_thickness_in, 0.125, 40.0, "in")
    parts = nominal_thickness_in * 4.0
    if parts == int(parts) and nominal_thickness_in != 0.5:
        return f"{int(parts)}/4"
    if nominal_thickness_in < 1.0 and nominal_thickness_in * 8.0 == int(nominal_thickness_in * 8.0):
        name = Fraction(nominal_thickness_in)
        return f"{name.numerator}/{name.denominator}"
    raise CannotRead(f"{nominal_thickness_in:g} in has no name in quarters: type it like 8/4.")


def counted_thickness_in(thickness_in: float) -> float:
    """Return the thickness that footage is counted at: anything under 1 in counts as 1 in.

    Parameters: thickness_in [in], above 0 to 40. Returns: thickness [in]. Errors: OutsideRange.
    Source: NAVY-EA, thickness below an inch; AHEC-MEASURE.

    >>> counted_thickness_in(0.75), counted_thickness_in(2.0)
    (1.0, 2.0)
    """
    require_range("thickness", thickness_in, 0.001, 40.0, "in")
    return max(1.0, thickness_in)

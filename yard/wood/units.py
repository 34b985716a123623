"""The one pint registry, and the conversions used at the edges: forms, imports, display.

Inside, every figure is in the trade's units (in, ft, lb, °F, board feet) with the unit in its name. The named
functions below are plain arithmetic on the exact definitions, so that 25.4 mm is 1 in and not a hair less;
`convert` goes through pint for everything rarer. pint alone reads MBF as a million board feet: the registry
here makes it the trade's thousand.

Source: SI-EXACT for the inch, foot and pound; MN-239.33 for the board foot.
"""

from functools import cache
from typing import Any

import pint

MM_PER_IN = 25.4  # exact; SI-EXACT
M_PER_FT = 0.3048  # exact; SI-EXACT
KG_PER_LB = 0.45359237  # exact; SI-EXACT
G_PER_OZ = 28.349523125  # exact, a sixteenth of a pound; SI-EXACT
BF_PER_MBF = 1000.0  # the trade's M is a thousand
FT3_PER_BF = 1.0 / 12.0  # 144 in³ of 1,728; MN-239.33
M3_PER_FT3 = 0.028316846592  # exact, 0.3048³; SI-EXACT
M3_PER_BF = 0.002359737216  # exact, 144 x 0.0254³; SI-EXACT, MN-239.33
KG_M3_PER_LB_FT3 = KG_PER_LB / M3_PER_FT3

_DEFINITIONS = (
    "thousand_board_feet = 1000 * board_foot = MBF = MFBM",
    "@alias board_foot = bf",
    "wood_cord = 128 * foot ** 3 = cord",
    "wood_cunit = 100 * foot ** 3 = cunit",
    "lumber_quarter = 0.25 * inch = quarter_inch",
    "hoppus_foot = 4 / pi * foot ** 3",
)


class CannotConvert(ValueError):  # noqa: N818 - reads as the sentence it is
    """Two units do not measure the same thing, or one of them is not known."""


@cache
def registry() -> "pint.UnitRegistry[Any]":
    """Return the one unit registry, with the trade's units added.

    >>> registry()("1 MBF").to("board_foot").magnitude == 1000
    True
    """
    units: pint.UnitRegistry[Any] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    for definition in _DEFINITIONS:
        units.define(definition)
    return units


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """Convert `value` between any two units that pint or the trade knows.

    Parameters: value [from_unit]; unit names as pint writes them, plus bf, MBF, cord, cunit, quarter_inch.
    Returns: the value [to_unit]. Errors: CannotConvert for an unknown unit or two that do not match.
    Source: MN-239.33, SI-EXACT. Check: 128 ft³ make a cord.

    >>> round(convert(2.0, "cord", "foot ** 3"), 9)
    256.0
    """
    units = registry()
    try:
        return float(units.Quantity(value, from_unit).to(to_unit).magnitude)
    except (pint.DimensionalityError, pint.UndefinedUnitError) as error:
        raise CannotConvert(f"{from_unit} cannot be turned into {to_unit}: {error}") from error


def in_from_mm(length_mm: float) -> float:
    """Return inches from millimetres. Source: SI-EXACT.

    >>> in_from_mm(50.8)
    2.0
    """
    return length_mm / MM_PER_IN


def mm_from_in(length_in: float) -> float:
    """Return millimetres from inches. Source: SI-EXACT.

    >>> mm_from_in(2.0)
    50.8
    """
    return length_in * MM_PER_IN


def ft_from_m(length_m: float) -> float:
    """Return feet from metres. Source: SI-EXACT.

    >>> round(ft_from_m(3.048), 12)
    10.0
    """
    return length_m / M_PER_FT


def m_from_ft(length_ft: float) -> float:
    """Return metres from feet. Source: SI-EXACT.

    >>> m_from_ft(10.0)
    3.048
    """
    return length_ft * M_PER_FT


def lb_from_kg(weight_kg: float) -> float:
    """Return pounds from kilograms. Source: SI-EXACT.

    >>> lb_from_kg(0.45359237)
    1.0
    """
    return weight_kg / KG_PER_LB


def kg_from_lb(weight_lb: float) -> float:
    """Return kilograms from pounds. Source: SI-EXACT.

    >>> kg_from_lb(100.0)
    45.359237
    """
    return weight_lb * KG_PER_LB


def f_from_c(temp_c: float) -> float:
    """Return degrees Fahrenheit from Celsius. Source: SI-EXACT.

    >>> f_from_c(100.0)
    212.0
    """
    return temp_c * 9.0 / 5.0 + 32.0


def c_from_f(temp_f: float) -> float:
    """Return degrees Celsius from Fahrenheit. Source: SI-EXACT.

    >>> c_from_f(-40.0)
    -40.0
    """
    return (temp_f - 32.0) * 5.0 / 9.0


def m3_from_bf(board_feet_bf: float) -> float:
    """Return cubic metres from board feet. Source: MN-239.33, SI-EXACT.

    >>> m3_from_bf(1000.0)
    2.359737216
    """
    return board_feet_bf * M3_PER_BF


def bf_from_m3(volume_m3: float) -> float:
    """Return board feet from cubic metres. Source: MN-239.33, SI-EXACT.

    >>> round(bf_from_m3(1.0), 3)
    423.776
    """
    return volume_m3 / M3_PER_BF


def bf_from_mbf(thousands_mbf: float) -> float:
    """Return board feet from the trade's thousands (M, MBF). Source: vocabulary of the trade, from memory.

    >>> bf_from_mbf(1.25)
    1250.0
    """
    return thousands_mbf * BF_PER_MBF


def kg_m3_from_lb_ft3(density_lb_ft3: float) -> float:
    """Return a density in kg/m³ from lb/ft³. Source: SI-EXACT.

    >>> round(kg_m3_from_lb_ft3(62.4), 1)
    999.6
    """
    return density_lb_ft3 * KG_M3_PER_LB_FT3

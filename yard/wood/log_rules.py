"""Log scale: Doyle, Scribner, Scribner Decimal C, International 1/4-inch, and the cubic rules.

Diameters are inside bark at the small end unless said otherwise, in inches; lengths in feet without the trim.
Footage under one rule is never turned into footage under another for payment (ME-382): scale the log again by
the rule on the ticket.
"""

import csv
import math
from collections.abc import Callable, Mapping
from functools import cache
from types import MappingProxyType

from yard.wood.ranges import require_range
from yard.wood.sources import DATA_DIR

DOYLE_ALLOWANCE_IN = 4.0  # in off the diameter for slabs and edgings; FNR-191
INTERNATIONAL_FACTOR = 0.905  # 1/4-in kerf for 1/8-in; NVEL-scrib. MCL-290.401 writes it 0.904762
INTERNATIONAL_SECTION_FT = 4.0  # ft; MCL-290.401
INTERNATIONAL_TAPER_IN = 0.5  # in a section; MCL-290.401
_SLACK = 1e-9  # a length typed in metres lands a hair off the whole foot


def doyle_bf(diameter_in: float, length_ft: float) -> float:
    """Return the Doyle scale of a log: (D - 4)² L / 16, taper not counted.

    Parameters: diameter_in [in], 4 to 120; length_ft [ft], 1 to 60. Returns: footage [bf], not rounded.
    The rule scales logs under about 12 in far short, and over about 28 in high. Errors: OutsideRange.
    Source: FNR-191; CHASE-1913 p. 11 prints 64 bf for 12 in x 16 ft.

    >>> doyle_bf(12.0, 16.0)
    64.0
    """
    require_range("small-end diameter", diameter_in, 4.0, 120.0, "in")
    require_range("log length", length_ft, 1.0, 60.0, "ft")
    return (diameter_in - DOYLE_ALLOWANCE_IN) ** 2 * length_ft / 16.0


def scribner_bf(diameter_in: float, length_ft: float) -> float:
    """Return the Scribner scale by its formula: (0.79 D² - 2 D - 4) L / 16; not the Decimal C table.

    Parameters: diameter_in [in], 4 to 120; length_ft [ft], 1 to 40 (best to 16 ft). Returns: [bf], not rounded.
    Errors: OutsideRange. Source: BRUCE-SCHUMACHER.

    >>> scribner_bf(20.0, 16.0)
    272.0
    """
    require_range("small-end diameter", diameter_in, 4.0, 120.0, "in")
    require_range("log length", length_ft, 1.0, 40.0, "ft")
    return (0.79 * diameter_in**2 - 2.0 * diameter_in - 4.0) * length_ft / 16.0


@cache
def _decimal_c_factors() -> Mapping[int, tuple[float, float, float]]:
    """Board feet a foot of length by diameter: for short logs, from 16 ft, from 32 ft. Source: NVEL-scrib."""
    with (DATA_DIR / "scribner_decimal_c_factors.csv").open(newline="", encoding="utf-8") as lines:
        factors = {}
        for row in csv.DictReader(lines):
            default = row["factor_bf_per_ft_default"]
            middle = row["factor_bf_per_ft_length_16_to_31_ft"] or default
            long = row["factor_bf_per_ft_length_32_to_40_ft"] or default
            factors[int(row["diameter_in"])] = (float(default), float(middle), float(long))
    return MappingProxyType(factors)


@cache
def _decimal_c_exceptions() -> Mapping[tuple[int, int], int]:
    """Cells where the table stands a unit of ten above or below its factor. Source: NVEL-scrib."""
    with (DATA_DIR / "scribner_decimal_c_exceptions.csv").open(newline="", encoding="utf-8") as lines:
        return MappingProxyType(
            {
                (int(row["diameter_in"]), int(row["length_ft"])): int(row["adjust_tens_of_bf"])
                for row in csv.DictReader(lines)
            }
        )


def scaling_diameter_in(diameter_in: float) -> int:
    """Return the whole-inch diameter that a table is entered with: the nearest inch, an exact half down.

    Parameters: diameter_in [in], 1 to 120.5. Errors: OutsideRange.
    Source: OCGA-2-14-80 for the nearest inch (it shares halves up and down); down here is common practice.

    >>> scaling_diameter_in(12.4), scaling_diameter_in(12.5), scaling_diameter_in(12.6)
    (12, 12, 13)
    """
    require_range("small-end diameter", diameter_in, 1.0, 120.5, "in")
    return math.ceil(diameter_in - 0.5 - _SLACK)


def scribner_decimal_c_bf(diameter_in: float, length_ft: float) -> float:
    """Return the Scribner Decimal C scale of a log, in whole tens of board feet.

    Parameters: diameter_in [in], 1 to 120, taken to the nearest inch (a half down); length_ft [ft], 1 to 40, a
    part of a foot dropped. Returns: footage [bf]. Errors: OutsideRange.
    Older tables keep half units for the smallest logs (5 bf where this gives 0 or 10; FGRB-1911), and one
    printed table has its 19 ft column a unit away in eight cells (SCRIB-C-TABLE).
    Source: NVEL-scrib: floor((L x factor + 5) / 10) and the one-unit exceptions. Check: 30 in x 16 ft is 660.

    >>> scribner_decimal_c_bf(30.0, 16.0)
    660.0
    """
    whole_in = scaling_diameter_in(diameter_in)
    require_range("log length", length_ft, 1.0, 40.0, "ft")
    whole_ft = math.floor(length_ft + _SLACK)
    short, middle, long = _decimal_c_factors()[whole_in]
    factor = short if whole_ft < 16 else middle if whole_ft < 32 else long
    tens = math.floor((whole_ft * factor + 5.0) / 10.0)
    return 10.0 * max(0, tens + _decimal_c_exceptions().get((whole_in, whole_ft), 0))


def international_quarter_inch_raw_bf(diameter_in: float, length_ft: float) -> float:
    """Return the International 1/4-inch scale before its rounding to fives.

    Each 4 ft section is 0.905 (0.22 d² - 0.71 d), d half an inch more with each section towards the butt; a part
    section stands at the butt on the next tapered diameter and counts in proportion, which is the reading that
    agrees with every printed cell. With 0.904762 for 0.905 one cell in thirteen would differ by 5 bf.
    Parameters: diameter_in [in], 4 to 120; length_ft [ft], 1 to 40. Returns: footage [bf]. Errors: OutsideRange.
    Source: NVEL-scrib (INTL14); MCL-290.401. Check: 12 in x 18 ft is 111.96 before rounding.

    >>> round(international_quarter_inch_raw_bf(12.0, 18.0), 2)
    111.96
    """
    require_range("small-end diameter", diameter_in, 4.0, 120.0, "in")
    require_range("log length", length_ft, 1.0, 40.0, "ft")
    sections, rest_ft = divmod(length_ft + _SLACK, INTERNATIONAL_SECTION_FT)
    lengths_ft = [INTERNATIONAL_SECTION_FT] * int(sections) + [max(0.0, rest_ft - _SLACK)]
    eighth_inch_bf = 0.0
    for number, section_ft in enumerate(lengths_ft):
        section_in = diameter_in + number * INTERNATIONAL_TAPER_IN
        eighth_inch_bf += (0.22 * section_in**2 - 0.71 * section_in) * section_ft / INTERNATIONAL_SECTION_FT
    return INTERNATIONAL_FACTOR * eighth_inch_bf


def international_quarter_inch_bf(diameter_in: float, length_ft: float) -> float:
    """Return the International 1/4-inch scale of a log, to the nearest 5 board feet.

    Parameters and errors: as for `international_quarter_inch_raw_bf`. Returns: footage [bf].
    Source: NVEL-scrib (INTL14); INT14-TABLE prints 95 bf for 12 in x 16 ft.

    >>> international_quarter_inch_bf(12.0, 16.0)
    95.0
    """
    return 5.0 * math.floor(international_quarter_inch_raw_bf(diameter_in, length_ft) / 5.0 + 0.5)


def smalian_ft3(small_in: float, large_in: float, length_ft: float) -> float:
    """Return a log's cubic feet by Smalian: the mean of its two end areas x length.

    Parameters: small_in, large_in [in], inside bark, above 0 to 150; length_ft [ft], above 0 to 60.
    Returns: volume [ft³]. Errors: OutsideRange, also where the ends are the wrong way round.
    Source: KERSHAW equation 6.5. Check: ends of 20 and 22 in, 10 ft: 24.107 ft³.

    >>> round(smalian_ft3(20.0, 22.0, 10.0), 3)
    24.107
    """
    require_range("large-end diameter", large_in, 0.1, 150.0, "in")
    require_range("small-end diameter", small_in, 0.1, large_in, "in", "The small end comes first.")
    require_range("log length", length_ft, 0.1, 60.0, "ft")
    return math.pi / 576.0 * (small_in**2 + large_in**2) / 2.0 * length_ft


def huber_ft3(middle_in: float, length_ft: float) -> float:
    """Return a log's cubic feet by Huber: its area at mid length x length.

    Parameters: middle_in [in], inside bark, above 0 to 150; length_ft [ft], above 0 to 60.
    Returns: volume [ft³]. Errors: OutsideRange. Source: KERSHAW equation 6.6. Check: a cylinder 24 in through.

    >>> round(huber_ft3(24.0, 10.0), 3)
    31.416
    """
    require_range("mid-length diameter", middle_in, 0.1, 150.0, "in")
    require_range("log length", length_ft, 0.1, 60.0, "ft")
    return math.pi / 576.0 * middle_in**2 * length_ft


def newton_ft3(small_in: float, middle_in: float, large_in: float, length_ft: float) -> float:
    """Return a log's cubic feet by Newton: (small + 4 middle + large area) / 6 x length.

    Parameters: as for `smalian_ft3`, with middle_in [in] between the ends. Returns: volume [ft³].
    Errors: OutsideRange. Source: KERSHAW equation 6.9. Check: for a paraboloid it agrees with Smalian.

    >>> abs(newton_ft3(20.0, 442.0**0.5, 22.0, 10.0) - smalian_ft3(20.0, 22.0, 10.0)) < 1e-9
    True
    """
    ends = smalian_ft3(small_in, large_in, length_ft)
    require_range("mid-length diameter", middle_in, small_in, large_in, "in")
    return ends / 3.0 + huber_ft3(middle_in, length_ft) * 2.0 / 3.0


LOG_RULES: Mapping[str, tuple[str, Callable[[float, float], float]]] = MappingProxyType(
    {
        "doyle": ("Doyle", doyle_bf),
        "scribner-decimal-c": ("Scribner Decimal C", scribner_decimal_c_bf),
        "international-quarter-inch": ("International 1/4-inch", international_quarter_inch_bf),
        "scribner": ("Scribner formula", scribner_bf),
    }
)


def log_scale_bf(rule: str, diameter_in: float, length_ft: float) -> float:
    """Return the gross scale of a log by the rule on the ticket, a key of LOG_RULES.

    Parameters: as for the rule's own function. Returns: footage [bf]. Errors: OutsideRange; KeyError.
    Source: that of the rule.

    >>> log_scale_bf("doyle", 12.0, 16.0), log_scale_bf("international-quarter-inch", 12.0, 16.0)
    (64.0, 95.0)
    """
    return LOG_RULES[rule][1](diameter_in, length_ft)

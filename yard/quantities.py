"""Quantities as text in the units of the person who reads: stored in the trade's units, shown in theirs.

`yard.wood.typed` reads what people write; this is the way back. A value of None shows as an en dash.
"""

import math
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from functools import wraps
from typing import Any

from yard.shown_units import shown
from yard.wood import shown as written
from yard.wood import units

NOTHING = "–"
CURRENCY_SIGNS = {"USD": "$", "CAD": "CA$", "AUD": "A$", "NZD": "NZ$", "EUR": "€", "GBP": "£"}
SIXTEENTHS = 16


def _signed(write: Callable[..., str]) -> Callable[..., str]:
    """Let a writer of plain sizes also take nothing (a dash) and differences below zero (a minus sign)."""

    @wraps(write)
    def signed(value: Any) -> str:
        if value is None or value == "" or (isinstance(value, float) and not math.isfinite(value)):
            return NOTHING
        return f"−{write(-value)}" if value < 0 else write(value)

    return signed


def number(value: float, digits: int) -> str:
    """A number with thousands separated and at most `digits` decimals, trailing zeros dropped."""
    text = f"{value:,.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@_signed
def thickness(value_in: float) -> str:
    """A thickness or sticker, from inches."""
    return written.format_thickness(value_in, shown().units, SIXTEENTHS)


@_signed
def width(value_in: float) -> str:
    """A width or diameter, from inches."""
    return written.format_width(value_in, shown().units, SIXTEENTHS)


@_signed
def length_ft(value_ft: float) -> str:
    """A length kept in feet, as feet and inches or metres."""
    return written.format_length(value_ft, shown().units, SIXTEENTHS)


@_signed
def length_in(value_in: float) -> str:
    """A length kept in inches, as feet and inches or metres."""
    return written.format_length(value_in / 12, shown().units, SIXTEENTHS)


@_signed
def weight(value_lb: float) -> str:
    """A weight, from pounds: two decimals under 100, one above."""
    return written.format_weight(value_lb, shown().units, 2 if value_lb < 100 else 1)


def temp(value_f: float | None) -> str:
    """A temperature, from °F."""
    if value_f is None or value_f == "":
        return NOTHING
    return written.format_temp(value_f, shown().units, 1 if shown().metric else 0)


@_signed
def temp_step(value_f: float) -> str:
    """A difference of temperatures, from °F: no zero point is moved."""
    return f"{number(value_f * 5 / 9, 1)} °C" if shown().metric else f"{number(value_f, 1)} °F"


@_signed
def bf(value_bf: float) -> str:
    """Footage of sawn wood: board feet, cubic metres for who reads metric; small pieces keep a decimal."""
    return written.format_board_feet(value_bf, shown().units, 1 if value_bf < 100 else 0)


@_signed
def scale_bf(value_bf: float) -> str:
    """A log's scale: a rule gives board feet, whatever units a person reads."""
    return f"{number(value_bf, 0)} bf"


@_signed
def area_in2(value_in2: float) -> str:
    """An area of one face, from square inches."""
    if shown().metric:
        return f"{number(value_in2 * units.MM_PER_IN**2 / 1e6, 2)} m²"
    return f"{number(value_in2, 0)} in²"


@_signed
def area_ft2(value_ft2: float) -> str:
    """An area, from square feet."""
    if shown().metric:
        return f"{number(value_ft2 * units.M_PER_FT**2, 2)} m²"
    return f"{number(value_ft2, 1)} ft²"


@_signed
def ft3(value_ft3: float) -> str:
    """A volume, from cubic feet."""
    if shown().metric:
        return f"{number(value_ft3 * units.M3_PER_FT3, 3)} m³"
    return f"{number(value_ft3, 1)} ft³"


@_signed
def mc(value_pct: float) -> str:
    """A moisture content: one decimal under 30%, whole above, where the wood is not known better."""
    return f"{value_pct:.{1 if value_pct < 30 else 0}f}%"


@_signed
def about_weight(value_lb: float) -> str:
    """A weight that is reckoned, not weighed, from pounds: to the nearest ten."""
    value = units.kg_from_lb(value_lb) if shown().metric else value_lb
    return f"{round(value, -1):,.0f} {'kg' if shown().metric else 'lb'}"


@_signed
def air_flow(value_cfm: float) -> str:
    """Air moved, from ft³/min: to the nearest ten."""
    if shown().metric:
        return f"{round(value_cfm * units.M3_PER_FT3 * 60, -1):,.0f} m³/h"
    return f"{round(value_cfm, -1):,.0f} ft³/min"


@_signed
def air_speed(value_fpm: float) -> str:
    """The speed of air, from ft/min."""
    if shown().metric:
        return f"{number(units.m_from_ft(value_fpm) / 60, 1)} m/s"
    return f"{value_fpm:,.0f} ft/min"


@_signed
def pct(value_pct: float) -> str:
    """A share or humidity in whole percent."""
    return f"{value_pct:,.0f}%"


@_signed
def quarters(value: float) -> str:
    """A nominal thickness in quarters of an inch: 8 is `8/4`."""
    return f"{number(value, 2)}/4"


@_signed
def elevation(value_ft: float) -> str:
    """A height above the sea, from feet."""
    return f"{units.m_from_ft(value_ft):,.0f} m" if shown().metric else f"{value_ft:,.0f} ft"


@_signed
def money(amount: Decimal) -> str:
    """An amount in the yard's currency, to the cent."""
    exact = Decimal(str(amount)).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
    sign = CURRENCY_SIGNS.get(shown().currency)
    return f"{sign}{exact:,.2f}" if sign else f"{exact:,.2f} {shown().currency}"

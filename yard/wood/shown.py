"""Writing measures back for a person, in imperial or metric, the way the yard's own people write them.

Rounding happens here and nowhere before: what is kept is exact, what is shown is rounded.
"""

from typing import Literal

from yard.wood.ranges import require_range
from yard.wood.units import c_from_f, kg_from_lb, m3_from_bf, m_from_ft, mm_from_in

System = Literal["imperial", "metric"]


def _in_words(length_in: float, denominator: int) -> str:
    """Return inches as a whole number and a reduced fraction of 1/denominator, without a unit."""
    parts = round(length_in * denominator)
    whole, top = divmod(parts, denominator)
    bottom = denominator
    while top and top % 2 == 0:
        top, bottom = top // 2, bottom // 2
    if not top:
        return str(whole)
    return f"{whole} {top}/{bottom}" if whole else f"{top}/{bottom}"


def _require_denominator(denominator: int) -> None:
    if denominator not in (1, 2, 4, 8, 16, 32, 64):
        raise ValueError(f"fractions are of 1, 2, 4, 8, 16, 32 or 64, not {denominator}")


def format_thickness(thickness_in: float, system: System = "imperial", denominator: int = 8) -> str:
    """Write a thickness as inches and eighths, or whole millimetres.

    Parameters: thickness_in [in]; denominator 1 to 64 of the fraction shown (8 or 16 in a yard).
    Errors: OutsideRange when not finite or below nothing.

    >>> format_thickness(2.125), format_thickness(0.8125, denominator=16), format_thickness(2.125, "metric")
    ('2 1/8 in', '13/16 in', '54 mm')
    """
    _require_denominator(denominator)
    require_range("thickness", thickness_in, 0.0, None, "in")
    if system == "metric":
        return f"{mm_from_in(thickness_in):.0f} mm"
    return f"{_in_words(thickness_in, denominator)} in"


def format_width(width_in: float, system: System = "imperial", denominator: int = 8) -> str:
    """Write a width or a diameter as inches and eighths, or centimetres and a tenth.

    Parameters and errors: as for `format_thickness`.

    >>> format_width(16.5), format_width(16.5, "metric")
    ('16 1/2 in', '41.9 cm')
    """
    _require_denominator(denominator)
    require_range("width", width_in, 0.0, None, "in")
    if system == "metric":
        return f"{mm_from_in(width_in) / 10.0:.1f} cm"
    return f"{_in_words(width_in, denominator)} in"


def format_length(length_ft: float, system: System = "imperial", denominator: int = 8) -> str:
    """Write a length as feet, inches and eighths, or metres to the centimetre.

    Parameters: length_ft [ft]; others and errors as for `format_thickness`.

    >>> format_length(11.5), format_length(8.0), format_length(0.5), format_length(11.5, "metric")
    ('11\\' 6"', "8'", '6"', '3.51 m')
    """
    _require_denominator(denominator)
    require_range("length", length_ft, 0.0, None, "ft")
    if system == "metric":
        return f"{m_from_ft(length_ft):.2f} m"
    parts = round(length_ft * 12 * denominator)
    feet, rest = divmod(parts, 12 * denominator)
    inches = f'{_in_words(rest / denominator, denominator)}"'
    if feet and rest:
        return f"{feet}' {inches}"
    return f"{feet}'" if feet else inches


def format_weight(weight_lb: float, system: System = "imperial", decimals: int = 1) -> str:
    """Write a weight as pounds, or kilograms; grams where it is under a kilogram.

    Parameters: weight_lb [lb]; decimals shown (of grams none).
    Errors: OutsideRange when not finite or below nothing.

    >>> format_weight(1234.56), format_weight(12.4, "metric", 2), format_weight(1.0, "metric")
    ('1,234.6 lb', '5.62 kg', '454 g')
    """
    require_range("weight", weight_lb, 0.0, None, "lb")
    if system == "imperial":
        return f"{weight_lb:,.{decimals}f} lb"
    weight_kg = kg_from_lb(weight_lb)
    return f"{weight_kg * 1000:.0f} g" if weight_kg < 0.9995 else f"{weight_kg:,.{decimals}f} kg"


def format_temp(temp_f: float, system: System = "imperial", decimals: int = 0) -> str:
    """Write a temperature in °F or °C. Errors: OutsideRange when not finite.

    >>> format_temp(70.0), format_temp(70.0, "metric", 1), format_temp(31.9, "metric")
    ('70 °F', '21.1 °C', '0 °C')
    """
    require_range("temperature", temp_f, None, None, "°F")
    value, unit = (c_from_f(temp_f), "°C") if system == "metric" else (temp_f, "°F")
    return f"{round(value, decimals) + 0.0:.{decimals}f} {unit}"


def format_board_feet(board_feet_bf: float, system: System = "imperial", decimals: int = 0) -> str:
    """Write footage in board feet, or cubic metres to three places.

    Errors: OutsideRange when not finite or below nothing.

    >>> format_board_feet(1044.4), format_board_feet(1044.4, "metric")
    ('1,044 bf', '2.465 m³')
    """
    require_range("footage", board_feet_bf, 0.0, None, "bf")
    if system == "metric":
        return f"{m3_from_bf(board_feet_bf):,.3f} m³"
    return f"{board_feet_bf:,.{decimals}f} bf"

"""Reading the measures that people type: 8/4, 2 1/8, 11' 6", 54 mm, 1.2 m, 2,5 kg, 21 °C.

Every reader returns a `Typed`: the value in the trade's unit, and beside it the value and unit as typed, so
that nothing typed is lost. What cannot be read raises CannotRead; what is read but cannot be meant raises
OutsideRange; both say what to type. The bounds are the program's own guard against slips and have no source.
Figures are written back by `shown.py`, whose functions can be had from here too.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from yard.wood.ranges import OutsideRange, require_range
from yard.wood.shown import (
    System,
    format_board_feet,
    format_length,
    format_temp,
    format_thickness,
    format_weight,
    format_width,
)
from yard.wood.typed_numbers import NUMBER, CannotRead, cleaned, matched_value, read_number, read_whole
from yard.wood.units import KG_PER_LB, M_PER_FT, MM_PER_IN, f_from_c

__all__ = [
    "CannotRead", "Kind", "OutsideRange", "System", "Typed", "default_unit", "format_board_feet",
    "format_length", "format_temp", "format_thickness", "format_weight", "format_width", "read_diameter_in",
    "read_length_ft", "read_number", "read_percent", "read_temp_f", "read_thickness_in", "read_weight_lb",
    "read_whole", "read_width_in", "read_widths_in",
]  # fmt: skip

Kind = Literal["thickness", "width", "diameter", "length", "weight", "temperature"]

# Trade unit -> unit as typed -> (multiply by, divide by), from the exact definitions. Source: SI-EXACT.
_SCALES: Mapping[str, Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "in": {
            "in": (1.0, 1.0), "ft": (12.0, 1.0), "mm": (1.0, MM_PER_IN), "cm": (10.0, MM_PER_IN),
            "m": (1000.0, MM_PER_IN), "quarters": (1.0, 4.0),
        },
        "ft": {
            "ft": (1.0, 1.0), "in": (1.0, 12.0), "mm": (0.001, M_PER_FT), "cm": (0.01, M_PER_FT),
            "m": (1.0, M_PER_FT),
        },
        "lb": {"lb": (1.0, 1.0), "oz": (1.0, 16.0), "kg": (1.0, KG_PER_LB), "g": (0.001, KG_PER_LB)},
    }
)  # fmt: skip
_NAMES = {
    '"': "in", "in": "in", "inch": "in", "inches": "in", "'": "ft", "ft": "ft", "foot": "ft", "feet": "ft",
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "oz": "oz", "ounce": "oz", "ounces": "oz",
    "kg": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg",
    "g": "g", "gram": "g", "grams": "g", "quarter": "quarters", "quarters": "quarters",
    "°f": "°F", "f": "°F", "fahrenheit": "°F", "°c": "°C", "c": "°C", "celsius": "°C",
}  # fmt: skip
# A measure in two parts: how many of the second unit make one of the first; where the second may stay unsaid.
_SECOND_PARTS = {("ft", "in"): 12.0, ("lb", "oz"): 16.0, ("m", "cm"): 100.0, ("kg", "g"): 1000.0}
_UNSAID_SECOND = {"ft": "in", "lb": "oz"}
_GAP = re.compile(r" ?[-,] ?(?=.)| |")
_UNIT = re.compile(r" ?(['\"]|° ?[a-z]+|[a-z]+\.?|)")
_QUARTERS = re.compile(r"([0-9]{1,3}) ?/ ?4 ?(?:\"|in|quarters)?")


@dataclass(frozen=True, slots=True)
class Typed:
    """A measure as typed: `value` in the trade's `unit`, `typed_value` in `typed_unit`, the text itself."""

    value: float
    unit: str
    typed_value: float
    typed_unit: str
    text: str


@dataclass(frozen=True, slots=True)
class _Measure:
    """What a kind of measure is called, its trade unit, its metric unit, its bounds and what to type."""

    words: str
    unit: str
    metric_unit: str
    low: float
    high: float
    example: str


_MEASURES: Mapping[Kind, _Measure] = MappingProxyType(
    {
        "thickness": _Measure("thickness", "in", "mm", 0.01, 40.0, "8/4, 2 1/8 or 54 mm"),
        "width": _Measure("width", "in", "cm", 0.05, 150.0, "16 1/2 or 42 cm"),
        "diameter": _Measure("diameter", "in", "cm", 0.1, 150.0, "18 or 46 cm"),
        "length": _Measure("length", "ft", "m", 0.01, 150.0, "11' 6\", 138 in or 3.5 m"),
        "weight": _Measure("weight", "lb", "kg", 0.0001, 500_000.0, "12.4 lb, 12 lb 6 oz or 5.6 kg"),
        "temperature": _Measure("temperature", "°F", "°C", -100.0, 500.0, "70 °F or 21 °C"),
    }
)


def default_unit(kind: Kind, system: System = "imperial") -> str:
    """Return the unit that a bare figure is taken to be in.

    >>> default_unit("thickness"), default_unit("length", "metric")
    ('in', 'm')
    """
    measure = _MEASURES[kind]
    return measure.metric_unit if system == "metric" else measure.unit


def read_thickness_in(text: str, default_unit: str = "in", decimal_comma: bool = False) -> Typed:
    """Read a thickness; 8/4 is eight quarters, which is 2 in.

    Parameters: text as typed; default_unit (in, ft, mm, cm, m) of a bare figure; decimal_comma where 2,125 is
    two and an eighth. Returns: Typed [in]. Errors: CannotRead, OutsideRange.

    >>> read_thickness_in("8/4")
    Typed(value=2.0, unit='in', typed_value=8.0, typed_unit='quarters', text='8/4')
    >>> read_thickness_in("2-1/8”").value, read_thickness_in("50.8 mm").value
    (2.125, 2.0)
    """
    quarters = _QUARTERS.fullmatch(cleaned(text))
    if quarters and int(quarters[1]) >= 4:
        return _checked(text, "thickness", float(quarters[1]), "quarters")
    return _read(text, "thickness", default_unit, decimal_comma)


def read_width_in(text: str, default_unit: str = "in", decimal_comma: bool = False) -> Typed:
    """Read a width. Parameters, returns and errors as for `read_thickness_in`.

    >>> read_width_in("16½").value
    16.5
    """
    return _read(text, "width", default_unit, decimal_comma)


def read_diameter_in(text: str, default_unit: str = "in", decimal_comma: bool = False) -> Typed:
    """Read a log's diameter. Parameters, returns and errors as for `read_thickness_in`.

    >>> read_diameter_in("1' 6\\"").value
    18.0
    """
    return _read(text, "diameter", default_unit, decimal_comma)


def read_length_ft(text: str, default_unit: str = "ft", decimal_comma: bool = False) -> Typed:
    """Read a length in feet; 11' 6", 11 ft 6, 138 in, 3.5 m and 3 m 50 cm are all read.

    Parameters and errors as for `read_thickness_in`. Returns: Typed [ft].

    >>> read_length_ft("11' 6\\"")
    Typed(value=11.5, unit='ft', typed_value=11.5, typed_unit='ft', text='11\\' 6"')
    >>> read_length_ft("138 in").value
    11.5
    """
    return _read(text, "length", default_unit, decimal_comma)


def read_weight_lb(text: str, default_unit: str = "lb", decimal_comma: bool = False) -> Typed:
    """Read a weight in pounds, ounces, kilograms or grams.

    Parameters: default_unit (lb, oz, kg, g); others and errors as for `read_thickness_in`.
    Returns: Typed [lb].

    >>> read_weight_lb("12 lb 6 oz").value
    12.375
    >>> read_weight_lb("1,200").value
    1200.0
    """
    return _read(text, "weight", default_unit, decimal_comma)


def read_temp_f(text: str, default_unit: str = "°F", decimal_comma: bool = False) -> Typed:
    """Read a temperature in °F or °C, below nought too.

    Parameters: default_unit (°F, °C); others and errors as for `read_thickness_in`. Returns: Typed [°F].

    >>> read_temp_f("−40 °C").value, read_temp_f("70").value
    (-40.0, 70.0)
    """
    plain = cleaned(text).rstrip(".")
    sign = -1.0 if plain[:1] == "-" else 1.0
    match = NUMBER.match(plain.lstrip("+-").strip()) if plain.count("-") + plain.count("+") <= 1 else None
    rest = plain.lstrip("+-").strip()[match.end() :].replace(" ", "") if match else "none"
    unit = default_unit if rest in ("", "°") else _NAMES.get(rest, "")
    if not match or unit not in ("°F", "°C"):
        raise _unread(text, "temperature")
    return _checked(text, "temperature", sign * matched_value(match, decimal_comma), unit)


def read_percent(text: str, decimal_comma: bool = False) -> float:
    """Read a percentage such as a moisture content, with or without its sign; 0 to 400.

    Errors: CannotRead, OutsideRange.

    >>> read_percent("12,5 %")
    12.5
    """
    value = read_number(cleaned(text).removesuffix("%").strip() or text, decimal_comma)
    return require_range("percentage", value, 0.0, 400.0, "%")


def read_widths_in(text: str, default_unit: str = "in", decimal_comma: bool = False) -> tuple[Typed, ...]:
    """Read a row of widths, parted by semicolons, lines, a comma and a space, or plain spaces.

    Parameters, errors: as for `read_thickness_in`. Returns: one Typed [in] a width, in order.

    >>> [width.value for width in read_widths_in("18, 16 1/2, 15, 16, 19")]
    [18.0, 16.5, 15.0, 16.0, 19.0]
    >>> [round(width.value, 2) for width in read_widths_in("45,5 42 40 cm")]
    [17.91, 16.54, 15.75]
    """
    if len(text) > 1000:
        raise CannotRead("Too many widths: type up to a hundred, like 18; 16.5; 15.")
    pieces = [piece for piece in _pieces(text) if piece.strip()]
    if not pieces:
        raise CannotRead("Nothing was typed: type widths like 18; 16.5; 15.")
    with_unit = [bool(re.search(r"[^0-9 .,/-]", cleaned(piece))) for piece in pieces]
    if with_unit[-1] and not any(with_unit[:-1]):
        default_unit = read_width_in(pieces[-1], default_unit, decimal_comma).typed_unit
    elif any(with_unit) and not all(with_unit):
        raise CannotRead("Give all widths their unit, or the last alone: type them like 45; 42; 40 cm.")
    return tuple(read_width_in(piece, default_unit, decimal_comma) for piece in pieces)


def _pieces(text: str) -> list[str]:
    """Part a row of widths; at plain spaces a fraction or a unit stays with the figure before it."""
    for mark in (r"[;\n]", r",\s"):
        if re.search(mark, text.strip()):
            return re.split(mark, text)
    words = text.split()
    if len(words) == 1 and text.count(",") > 1:
        return text.split(",")
    pieces: list[str] = []
    for word in words:
        if pieces and (word[0] not in "0123456789.," or re.fullmatch(r"[0-9]+/[0-9]+[^0-9]*", word)):
            pieces[-1] += f" {word}"
        else:
            pieces.append(word)
    return pieces


def _unread(text: str, kind: Kind) -> CannotRead:
    measure = _MEASURES[kind]
    return CannotRead(f"“{text.strip()[:40]}” is not a {measure.words}: type it like {measure.example}.")


def _checked(text: str, kind: Kind, typed_value: float, typed_unit: str) -> Typed:
    """Turn a value in the unit as typed into the trade's, and hold it to the bounds."""
    measure = _MEASURES[kind]
    hint = f"Type it like {measure.example}."
    if kind == "temperature":
        value = f_from_c(typed_value) if typed_unit == "°C" else typed_value
        require_range(measure.words, value, measure.low, measure.high, measure.unit, hint)
    else:
        times, over = _SCALES[measure.unit][typed_unit]
        value = typed_value * times / over
        if value == 0:
            raise CannotRead(f"A {measure.words} of nothing: type it like {measure.example}.")
        low, high = (bound * over / times for bound in (measure.low, measure.high))
        require_range(measure.words, typed_value, low, high, typed_unit, hint)
    return Typed(value, measure.unit, typed_value, typed_unit, text.strip())


def _read(text: str, kind: Kind, default_unit: str, decimal_comma: bool) -> Typed:
    parts = _parts(text, kind, decimal_comma)
    first, unit = parts[0]
    if len(parts) == 1:
        return _checked(text, kind, first, unit or default_unit)
    second, second_unit = parts[1]
    second_unit = second_unit or _UNSAID_SECOND.get(unit, "")
    per_first = _SECOND_PARTS.get((unit, second_unit))
    if len(parts) > 2 or per_first is None or first != int(first):
        raise _unread(text, kind)
    if second >= per_first:
        raise CannotRead(f"{second:g} {second_unit} make a whole {unit} or more: check “{text.strip()}”.")
    return _checked(text, kind, first + second / per_first, unit)


def _parts(text: str, kind: Kind, decimal_comma: bool) -> list[tuple[float, str]]:
    """Split the text into (value, unit) parts; the unit is empty where none was typed."""
    plain = cleaned(text)
    known = _SCALES[_MEASURES[kind].unit]
    parts: list[tuple[float, str]] = []
    at = 0
    while at < len(plain):
        match = NUMBER.match(plain, at)
        if not match:
            raise _unread(text, kind)
        sign = _UNIT.match(plain, match.end())
        name = sign[1].rstrip(".") if sign else ""
        if name and _NAMES.get(name) not in known:
            raise _unread(text, kind)
        parts.append((matched_value(match, decimal_comma), _NAMES.get(name, "")))
        gap = _GAP.match(plain, sign.end() if sign else match.end())
        at = gap.end() if gap else len(plain)
    return parts

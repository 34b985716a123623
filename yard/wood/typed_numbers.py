"""Numbers as people type them: 2 1/8, 2-1/8, 2½, 2,5, 1,200, 1 200, .75. `typed.py` adds the units.

A comma followed by exactly three digits is a thousands mark (1,200) unless the yard writes decimals with a
comma; any other single comma is a decimal mark (2,5). A single dot is always a decimal mark. Common practice,
no source.
"""

import re

MAX_CHARACTERS = 80  # longer than anything a person types into a measure; keeps reading quick

_FRACTIONS = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅓": "1/3", "⅔": "2/3",
    "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅒": "1/10",
}  # fmt: skip
_SIGNS = str.maketrans(
    {
        **{sign: f" {text} " for sign, text in _FRACTIONS.items()},
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys("′’‘´`", "'"),
        **dict.fromkeys("″”“„", '"'),
        **dict.fromkeys("−–‐‑", "-"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f", " "),
    }
)
_DECIMAL = r"[0-9]{1,3}(?: [0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9]+(?:[.,][0-9]+)*[.,]?|[.,][0-9]+"
NUMBER = re.compile(
    r"(?:(?P<whole>[0-9]+)(?: ?- ?| ))?(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)(?![0-9.,])"
    rf"|(?P<decimal>{_DECIMAL})"
)
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+")


class CannotRead(ValueError):  # noqa: N818 - reads as the sentence it is
    """The text cannot be read; the message says what to type instead."""


def cleaned(text: str) -> str:
    """Return the text in plain signs, single spaces and small letters.

    Errors: CannotRead when nothing was typed, or far too much.

    >>> cleaned("  2⅛″ ")
    '2 1/8"'
    """
    plain = re.sub(r"\s+", " ", text[: MAX_CHARACTERS + 1].translate(_SIGNS)).strip().lower()
    if not plain:
        raise CannotRead("Nothing was typed: type a figure, like 12 or 2 1/8.")
    if len(text) > MAX_CHARACTERS:
        raise CannotRead(f"That is more than {MAX_CHARACTERS} characters: type the figure alone.")
    plain = plain.replace("''", '"')
    return re.sub(r"(?<=[0-9]) (?=['\"])", "", plain)


def decimal_value(token: str, decimal_comma: bool = False) -> float:
    """Return the value of a plain number with its decimal and thousands marks.

    Parameters: token of digits, dots, commas and spaces; decimal_comma for a yard that writes 2,125 for
    two and an eighth. Errors: CannotRead when the marks make no number.

    >>> decimal_value("1,200"), decimal_value("2,5"), decimal_value("1.234,5")
    (1200.0, 2.5, 1234.5)
    >>> decimal_value("2,125", decimal_comma=True)
    2.125
    """
    digits = token.replace(" ", "").rstrip(".,")
    commas, dots = digits.count(","), digits.count(".")
    if commas and dots:
        mark = "," if digits.rfind(",") > digits.rfind(".") else "."
        whole, _, part = digits.rpartition(mark)
        other = "." if mark == "," else ","
        if not _THOUSANDS.fullmatch(whole.replace(other, ",")):
            raise _confusing(token)
        digits = f"{whole.replace(other, '')}.{part}"
    elif commas == 1 and (decimal_comma or not _THOUSANDS.fullmatch(digits)):
        digits = digits.replace(",", ".")
    elif commas or dots > 1:
        if not _THOUSANDS.fullmatch(digits.replace(".", ",")):
            raise _confusing(token)
        digits = digits.replace(",", "").replace(".", "")
    return float(digits)


def _confusing(token: str) -> CannotRead:
    return CannotRead(f"“{token.strip()}” has dots or commas that make no number: type it like 1234.5.")


def matched_value(match: re.Match[str], decimal_comma: bool = False) -> float:
    """Return the value of a match of NUMBER: a mixed number, a fraction or a decimal.

    Errors: CannotRead for a fraction over nothing, or a whole number followed by a fraction of one or more.

    >>> matched_value(NUMBER.match("2-1/8"))
    2.125
    """
    if match["decimal"] is not None:
        return decimal_value(match["decimal"], decimal_comma)
    top, bottom = int(match["top"]), int(match["bottom"])
    if bottom == 0:
        raise CannotRead(f"“{match[0].strip()}” divides by nothing: type it like 3/4.")
    if match["whole"] is None:
        return top / bottom
    if top >= bottom:
        raise CannotRead(f"“{match[0].strip()}” is not clear: type it like 2 1/8.")
    return int(match["whole"]) + top / bottom


def read_number(text: str, decimal_comma: bool = False) -> float:
    """Return a bare number as typed; a leading minus is read.

    Errors: CannotRead with a sentence that says what to type.

    >>> read_number("1,200"), read_number("2½"), read_number("-3,5")
    (1200.0, 2.5, -3.5)
    """
    plain = cleaned(text)
    sign = -1.0 if plain[0] == "-" else 1.0
    match = NUMBER.fullmatch(plain[1:].strip() if plain[0] in "+-" else plain)
    if not match:
        raise CannotRead(f"“{text.strip()}” is not a number: type digits, like 12 or 12.5.")
    return sign * matched_value(match, decimal_comma)


def read_whole(text: str) -> int:
    """Return a whole number of nought or more, for counts.

    Errors: CannotRead for a part of one, a minus, or more than nine digits.

    >>> read_whole("1,200")
    1200
    """
    value = read_number(text)
    if not 0 <= value <= 999_999_999 or value != int(value):
        raise CannotRead(f"“{text.strip()}” is not a count: type a whole number, like 12.")
    return int(value)

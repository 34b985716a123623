"""Reading one cell of a person's spreadsheet: a measure, a date, money, a species, a word of the trade."""

import re
from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from yard.models import LogRule, SlabKind, WidthBasis
from yard.services.exports import un_neutralised
from yard.services.import_columns import DATE_FIGURES, Mapped
from yard.wood import typed
from yard.wood.species import Species, find_species

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY_MONTH_WORD = re.compile(r"(\d{1,2})[-. ]*([a-z]{3})[a-z]*[-., ]*(\d{4})")
_MONTH_WORD_DAY = re.compile(r"([a-z]{3})[a-z]*[-. ]*(\d{1,2})[a-z]*[-., ]*(\d{4})")
_MEASURES: dict[str, Callable[..., typed.Typed]] = {
    "thickness": typed.read_thickness_in,
    "width": typed.read_width_in,
    "diameter": typed.read_diameter_in,
    "length": typed.read_length_ft,
}
_DATES = {"arrived_on", "felled_on", "sawn_on", "dry_on", "ends_sealed_on"}
_LONGEST = {
    "tag": 30, "log": 30, "where_from": 160, "defect_note": 300, "grade": 20, "figure": 60, "matched_set": 30,
    "owner": 120, "supplier": 120, "bay": 60, "note": 4000,
}  # fmt: skip
_KINDS = {
    "live edge": SlabKind.LIVE_EDGE, "live edge slab": SlabKind.LIVE_EDGE, "slab": SlabKind.LIVE_EDGE,
    "unedged": SlabKind.LIVE_EDGE, "board": SlabKind.BOARD, "boards": SlabKind.LOT, "edged": SlabKind.BOARD,
    "beam": SlabKind.BEAM, "timber": SlabKind.BEAM, "blank": SlabKind.BLANK, "lot": SlabKind.LOT,
    "lot of boards": SlabKind.LOT,
}  # fmt: skip
_BASES = {
    "narrow face": WidthBasis.NARROW_FACE, "narrow": WidthBasis.NARROW_FACE,
    "narrow face inside bark": WidthBasis.NARROW_FACE, "mean of both faces": WidthBasis.MEAN_FACES,
    "mean of faces": WidthBasis.MEAN_FACES, "mean faces": WidthBasis.MEAN_FACES, "mean": WidthBasis.MEAN_FACES,
    "edged": WidthBasis.EDGED, "edged full width": WidthBasis.EDGED,
}  # fmt: skip
_RULES = {
    "international": LogRule.INTERNATIONAL, "international 1 4 inch": LogRule.INTERNATIONAL,
    "international 1 4": LogRule.INTERNATIONAL, "int": LogRule.INTERNATIONAL, "scribner": LogRule.SCRIBNER,
    "scribner decimal c": LogRule.SCRIBNER, "doyle": LogRule.DOYLE,
}  # fmt: skip
FEATURES = ("crotch", "wane", "knots", "checks", "pith")


class BadCell(ValueError):  # noqa: N818 - reads as the sentence it is
    """The cell cannot be read; the message says what to type."""


class SpeciesUnclear(BadCell):
    """A name means no wood, or several; `candidates` holds those it could be."""

    def __init__(self, text: str, candidates: tuple[Species, ...]) -> None:
        self.text, self.candidates = text, candidates
        names = ", ".join(row.plain_name for row in candidates[:4])
        means = f"can be several: {names}" if candidates else "is not in the species table"
        super().__init__(f"“{text}” {means}. Say which wood it is.")


class CellReader:
    """Reads cells as the person said that they are written; the same text is worked out once.

    `species` holds what they said that a name in the file means; `unclear` collects the names still to be asked.
    """

    def __init__(self, *, decimal_comma: bool, dates: str, today: date, species: Mapping[str, str]) -> None:
        self.decimal_comma, self.dates, self.today, self.species = decimal_comma, dates, today, species
        self.unclear: dict[str, tuple[Species, ...]] = {}
        self.known: dict[tuple[str, str, str], Any] = {}

    def read(self, mapped: Mapped, text: str) -> Any:
        """The value of a cell that is not empty. Errors: BadCell."""
        key = (mapped.target.key, mapped.unit, text)
        if key not in self.known:
            try:
                self.known[key] = self._value(mapped, un_neutralised(text))
            except SpeciesUnclear as error:
                self.unclear[text] = error.candidates
                self.known[key] = error
            except (typed.CannotRead, typed.OutsideRange, BadCell) as error:
                self.known[key] = BadCell(_sentence(str(error)))
        value = self.known[key]
        if isinstance(value, BadCell):
            raise value
        return value

    def _value(self, mapped: Mapped, text: str) -> Any:
        key, measure = mapped.target.key, mapped.target.measure
        if key == "species":
            return self.species.get(text.lower()) or species_meant(text).key
        if key == "widths":
            return [width.value for width in typed.read_widths_in(text, mapped.unit, self.decimal_comma)]
        if measure:
            return _MEASURES[measure](text, mapped.unit, self.decimal_comma).value
        if key in _DATES:
            return self.day(text)
        if key in ("defect_pct", "dry_mc_pct"):
            return typed.read_percent(text, self.decimal_comma)
        if key in ("position", "count"):
            return _count(text)
        if key in ("cost", "price"):
            return money_read(text, self.decimal_comma)
        if key in _WORDS:
            return _WORDS[key](text)
        if len(text) > _LONGEST[key]:
            raise BadCell(f"This has {len(text)} characters; the most is {_LONGEST[key]}.")
        return text

    def day(self, text: str) -> date:
        """A date that is not to come: figures in the order chosen, or with the month as a word."""
        year, month, day = _date_parts(text.strip().lower(), self.dates)
        try:
            value = date(year + 2000 if year < 100 else year, month, day)
        except ValueError as error:
            raise BadCell(
                f"There is no day “{text}” when dates are written {DATE_WORDS[self.dates]}: look at the order."
            ) from error
        if value > self.today:
            raise BadCell(f"{value:%d %b %Y} is still to come: look at the year, and the order of day and month.")
        if value.year < 1900:
            raise BadCell(f"{value:%d %b %Y} is before 1900: look at the year.")
        return value


DATE_WORDS = {"ymd": "year, month, day", "dmy": "day, month, year", "mdy": "month, day, year"}


def _date_parts(text: str, order: str) -> tuple[int, int, int]:
    figures = DATE_FIGURES.fullmatch(text)
    if figures:
        parts = (int(figures[1]), int(figures[3]), int(figures[4]))
        if len(figures[1]) == 4:
            return parts
        if order == "ymd" and len(figures[4]) == 4:
            raise BadCell(f"“{text}” has the year last: choose how dates are written, above.")
        return {
            "ymd": parts,
            "dmy": (parts[2], parts[1], parts[0]),
            "mdy": (parts[2], parts[0], parts[1]),
        }[order]
    for pattern, day_at, month_at in ((_DAY_MONTH_WORD, 1, 2), (_MONTH_WORD_DAY, 2, 1)):
        words = pattern.fullmatch(text)
        if words and words[month_at] in MONTHS:
            return int(words[3]), MONTHS.index(words[month_at]) + 1, int(words[day_at])
    raise BadCell(f"“{text}” is not a date: type it like 2025-03-14 or 14 Mar 2025.")


def money_read(text: str, decimal_comma: bool = False) -> Decimal:
    """An amount of money with or without its sign: 1,200, $1200.50, 1.200,50 €. Errors: BadCell."""
    bare = re.sub(r"[$€£]|\b[A-Za-z]{3}\b", "", text).strip()
    try:
        amount = Decimal(str(typed.read_number(bare or "?", decimal_comma))).quantize(Decimal("0.01"))
    except (typed.CannotRead, InvalidOperation) as error:
        raise BadCell(f"“{text}” is not an amount of money: type it like 240 or 240.50.") from error
    if not 0 <= amount < 100_000_000:
        raise BadCell(f"{amount:,} cannot be: an amount is from 0 to 99,999,999.")
    return amount


def _count(text: str) -> int:
    count = typed.read_whole(text)
    if not 1 <= count <= 100_000:
        raise BadCell(f"“{text}” is not a count: type a whole number from 1.")
    return count


def species_meant(text: str) -> Species:
    """The one wood that a name means: a whole name that one wood has, or the only one that it fits.

    Errors: SpeciesUnclear, with the woods that it could be.
    """
    found = find_species(text)
    named_so = [row for row in found if _sorted_words(text) in _names(row)]
    for one in (named_so, found):
        if len(one) == 1:
            return one[0]
    raise SpeciesUnclear(text, tuple(named_so or found))


def _names(row: Species) -> list[list[str]]:
    names = (row.key, row.common_name, row.plain_name, row.botanical_name, *row.other_names)
    return [_sorted_words(name) for name in names]


def _sorted_words(text: str) -> list[str]:
    return sorted(re.sub(r"[\W_]+", " ", text.lower()).split())


def _one_of(words: dict[str, Any], example: str) -> Callable[[str], Any]:
    def read(text: str) -> Any:
        key = " ".join(re.sub(r"[\W_]+", " ", text.lower()).split())
        if key not in words:
            raise BadCell(f"“{text}” is not one of: {example}.")
        return words[key]

    return read


def _features(text: str) -> frozenset[str]:
    words = [word for word in re.split(r"[^a-z]+", text.lower()) if word not in ("", "and", "some", "no", "none")]
    found = {feature for feature in FEATURES for word in words if feature.rstrip("s") in (word, word.rstrip("s"))}
    unknown = [word for word in words if not any(f.rstrip("s") in (word, word.rstrip("s")) for f in FEATURES)]
    if unknown:
        raise BadCell(f"“{unknown[0]}” is not one of: {', '.join(FEATURES)}. Other words go into a note.")
    return frozenset(found)


_WORDS: dict[str, Callable[[str], Any]] = {
    "kind": _one_of(_KINDS, "live edge, board, beam, blank, lot"),
    "width_basis": _one_of(_BASES, "narrow face, mean of faces, edged"),
    "rule": _one_of(_RULES, "International, Scribner, Doyle"),
    "quarters": lambda text: typed.read_thickness_in(text if "/" in text else f"{text}/4").value * 4,
    "features": _features,
}


def _sentence(text: str) -> str:
    text = text[0].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."

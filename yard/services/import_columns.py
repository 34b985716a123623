"""What the columns of a person's spreadsheet can be, and guessing it from their headings."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from yard.models import ImportFile, ImportKind

LENGTH_UNITS = ("in", "ft", "mm", "cm", "m")
IMPERIAL_UNITS = {"thickness": "in", "width": "in", "diameter": "in", "length": "ft"}
METRIC_UNITS = {"thickness": "mm", "width": "cm", "diameter": "cm", "length": "m"}


@dataclass(frozen=True, slots=True)
class Target:
    """One thing a column can be: `measure` names the reader in typed.py for those with a unit."""

    key: str
    words: str
    headings: tuple[str, ...]
    needed: bool = False
    measure: str = ""
    hint: str = ""


LOG_TARGETS = (
    Target("tag", "Tag of the log", ("tag", "log", "log tag", "log no", "log number", "number", "no", "id"), True),
    Target("species", "Species", ("species", "wood", "timber", "kind of wood"), True),
    Target(
        "small_end_in",
        "Small end diameter",
        ("small end", "small end diameter", "top diameter", "top", "diameter", "dia", "dib", "sed"),
        True,
        "diameter",
        "Inside bark.",
    ),
    Target(
        "large_end_in",
        "Large end diameter",
        ("large end", "large end diameter", "butt diameter", "butt", "led"),
        False,
        "diameter",
        "Inside bark.",
    ),
    Target("length_ft", "Length", ("length", "log length", "len"), True, "length"),
    Target("arrived_on", "Arrived on", ("arrived", "arrived on", "date", "received", "taken in", "date in")),
    Target("felled_on", "Felled on", ("felled", "felled on", "cut", "cut on", "harvested")),
    Target("owner", "Owner", ("owner", "belongs to", "customer"), hint="Empty or “ours”: the wood is ours."),
    Target("supplier", "Supplier", ("supplier", "bought from", "seller", "vendor")),
    Target("where_from", "Where from", ("where from", "from", "source", "origin", "place", "stand", "lot")),
    Target("defect_pct", "Defect deduction %", ("defect", "defect pct", "deduction", "cull", "defect %")),
    Target("defect_note", "Defects in words", ("defects", "defect note")),
    Target("rule", "Log rule", ("rule", "log rule", "scale rule")),
    Target("cost", "Cost", ("cost", "paid", "price", "price paid")),
    Target("ends_sealed_on", "Ends sealed on", ("ends sealed", "sealed", "sealed on", "end sealed")),
    Target("note", "Note", ("note", "notes", "remark", "remarks", "comment", "comments")),
)
SLAB_TARGETS = (
    Target("tag", "Tag of the slab", ("tag", "slab", "slab tag", "slab no", "board", "number", "no", "id"), True),
    Target("log", "Tag of its log", ("log", "log tag", "log no", "log number", "from log")),
    Target("position", "Place in the log", ("position", "place in log", "place in the log", "order", "sequence")),
    Target("species", "Species", ("species", "wood", "timber", "kind of wood"), hint="Empty: its log's."),
    Target("kind", "Kind", ("kind", "type", "form"), hint="Live edge, board, beam, blank or lot."),
    Target("count", "How many pieces", ("count", "pieces", "pcs", "quantity", "qty")),
    Target("thickness_in", "Thickness as sawn", ("thickness", "thick", "green thickness"), True, "thickness"),
    Target("quarters", "Quarters", ("quarters", "nominal", "nominal thickness"), hint="Empty: from the thickness."),
    Target(
        "widths", "Width, or all widths", ("width", "widths", "mean width"), True, "width", "Several: 18; 16.5; 15."
    ),
    Target("width_2", "2nd width", ("width 2", "width middle", "middle width", "width mid"), False, "width"),
    Target("width_3", "3rd width", ("width 3", "width top", "top width"), False, "width"),
    Target("width_4", "4th width", ("width 4",), False, "width"),
    Target("width_5", "5th width", ("width 5",), False, "width"),
    Target("length", "Length", ("length", "len"), True, "length"),
    Target("width_basis", "Width basis", ("width basis", "basis"), hint="Narrow face, mean of faces or edged."),
    Target("grade", "Grade", ("grade",)),
    Target("figure", "Figure", ("figure", "figured", "grain")),
    Target("features", "Features", ("features", "defects", "character"), hint="Crotch, wane, knots, checks, pith."),
    Target("matched_set", "Matched set", ("matched set", "set", "match", "bookmatch")),
    Target("owner", "Owner", ("owner", "belongs to", "customer"), hint="Empty or “ours”: the wood is ours."),
    Target("bay", "Bay where it lies", ("bay", "place", "location", "where")),
    Target("sawn_on", "Sawn on", ("sawn", "sawn on", "date sawn", "milled", "milled on", "date", "cut")),
    Target("ends_sealed_on", "Ends sealed on", ("ends sealed", "sealed", "sealed on")),
    Target("dry_on", "Dry since", ("dry on", "dry since", "dried", "dried on"), hint="Filled: the piece is dry."),
    Target("dry_mc_pct", "MC when dry %", ("mc", "mc pct", "moisture", "moisture content", "mc %", "dry mc")),
    Target("price", "Price of the piece", ("price", "asking", "asking price", "price each")),
    Target("note", "Note", ("note", "notes", "remark", "remarks", "comment", "comments", "description")),
)
TARGETS = {ImportKind.LOGS: LOG_TARGETS, ImportKind.SLABS: SLAB_TARGETS}


@dataclass(frozen=True, slots=True)
class Mapped:
    """A column of the file, by its place, with what it is and the unit of a bare figure in it."""

    place: int
    heading: str
    target: Target
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Choices:
    """What the person chose: the columns, how figures and dates are written, what stands for empty cells."""

    columns: tuple[Mapped, ...] = ()
    decimal_comma: bool = False
    dates: str = "ymd"
    add_contacts: bool = False
    for_all: dict[str, str] = field(default_factory=dict)
    species: dict[str, str] = field(default_factory=dict)  # a name in the file, in small letters, to a species' key

    def kept(self) -> dict[str, Any]:
        """As it is stored with the file, by heading, so that it fits the next file too."""
        return {
            "columns": [[mapped.heading, mapped.target.key, mapped.unit] for mapped in self.columns],
            "decimal_comma": self.decimal_comma,
            "dates": self.dates,
            "add_contacts": self.add_contacts,
            "for_all": self.for_all,
            "species": self.species,
        }


def choices_from(kept: dict[str, Any], kind: str, headings: Sequence[str]) -> Choices:
    """Stored choices for these headings; columns that the file does not have are left out."""
    targets = {target.key: target for target in TARGETS[ImportKind(kind)]}
    places = {heading.lower(): place for place, heading in enumerate(headings)}
    columns = tuple(
        Mapped(places[heading.lower()], heading, targets[key], unit)
        for heading, key, unit in kept.get("columns", [])
        if heading.lower() in places and key in targets
    )
    return Choices(
        columns,
        bool(kept.get("decimal_comma")),
        kept.get("dates", "ymd"),
        bool(kept.get("add_contacts")),
        dict(kept.get("for_all", {})),
        dict(kept.get("species", {})),
    )


def choices_guess(
    kind: str, headings: Sequence[str], rows: Sequence[Sequence[str]], *, metric: bool, delimiter: str
) -> Choices:
    """What the columns most likely are: as the last file with these headings was read, else from the words."""
    remembered = _remembered(kind, headings)
    if remembered is not None:
        return remembered
    return Choices(
        tuple(_guess_columns(kind, headings, metric)),
        decimal_comma=_guess_decimal_comma(rows, delimiter),
        dates=_guess_dates(rows, metric),
    )


def _remembered(kind: str, headings: Sequence[str]) -> Choices | None:
    """The choices of the newest imported file of which all the headings that mattered are here too."""
    wanted = {heading.lower() for heading in headings}
    newest = ImportFile.objects.filter(kind=kind, imported_at__isnull=False).order_by("-made_at")
    for kept in newest.values_list("choices", flat=True)[:20]:
        columns = kept.get("columns", [])
        if columns and all(heading.lower() in wanted for heading, _, _ in columns):
            return choices_from(kept, kind, headings)
    return None


def _guess_columns(kind: str, headings: Sequence[str], metric: bool) -> list[Mapped]:
    units = METRIC_UNITS if metric else IMPERIAL_UNITS
    best: dict[str, tuple[int, Mapped]] = {}
    for place, heading in enumerate(headings):
        words, unit = _words_and_unit(heading)
        for target in TARGETS[ImportKind(kind)]:
            fit = _fit(words, target)
            if fit and (target.key not in best or fit > best[target.key][0]):
                measured = (unit or units[target.measure]) if target.measure else ""
                best[target.key] = (fit, Mapped(place, heading, target, measured))
    # one column is one thing: the better fit keeps it
    by_place: dict[int, tuple[int, Mapped]] = {}
    for fit, mapped in best.values():
        if mapped.place not in by_place or fit > by_place[mapped.place][0]:
            by_place[mapped.place] = (fit, mapped)
    return [mapped for _, mapped in sorted(by_place.values(), key=lambda pair: pair[1].place)]


def _words_and_unit(heading: str) -> tuple[str, str]:
    """The words of a heading, and the unit in it: "Length (ft)" is "length" and "ft"."""
    low = heading.lower().replace("°", "")
    unit = ""
    for found in re.findall(r"[\[(]([^\])]*)[\])]|\b(mm|cm|in|ft)$", low):
        word = (found[0] or found[1]).strip().rstrip(".")
        unit = {"inch": "in", "inches": "in", '"': "in", "feet": "ft", "foot": "ft", "'": "ft"}.get(word, word)
    words = re.sub(r"[\[(][^\])]*[\])]|\b(mm|cm|in|ft)$", " ", low)
    words = " ".join(re.sub(r"[^\w%]+|_", " ", words).split())
    return words, unit if unit in LENGTH_UNITS else ""


def _fit(words: str, target: Target) -> int:
    """How well the words of a heading fit: as the program writes it, as people do, or with one of those within."""
    own = " ".join(re.sub(r"[^\w%]+", " ", target.words.lower()).split())
    if words == own:
        return 5
    if words in target.headings:
        return 4 if words == target.headings[0] else 3
    within = [name for name in target.headings if set(name.split()) <= set(words.split()) and len(name) > 2]
    return max((2 if " " in name else 1 for name in within), default=0)


def _guess_decimal_comma(rows: Sequence[Sequence[str]], delimiter: str) -> bool:
    """Whether figures are written 2,5: more cells are that than 2.5; a comma between cells leaves few."""
    cells = [cell for row in rows for cell in row]
    commas = sum(bool(re.fullmatch(r"\d+,\d{1,3}", cell)) for cell in cells)
    dots = sum(bool(re.fullmatch(r"\d+\.\d+", cell)) for cell in cells)
    return delimiter != "," and commas > dots


def _guess_dates(rows: Sequence[Sequence[str]], metric: bool) -> str:
    """The order of dates: seen from a day over 12, else dots mean day first, else the yard's habit."""
    dates = [match for row in rows for cell in row if (match := DATE_FIGURES.fullmatch(cell))]
    if not dates:
        return "ymd" if metric else "mdy"
    if all(len(match[1]) == 4 for match in dates):
        return "ymd"
    if any(len(match[1]) < 3 and int(match[1]) > 12 for match in dates):
        return "dmy"
    if any(int(match[3]) > 12 for match in dates if len(match[1]) < 3):
        return "mdy"
    return "dmy" if metric or any("." in match[2] for match in dates) else "mdy"


DATE_FIGURES = re.compile(r"(\d{1,4})([-/. ]+)(\d{1,2})[-/. ]+(\d{2,4})(?: 00:00(?::00)?)?")

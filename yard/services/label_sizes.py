"""Sizes of labels: sheets of sticky labels, paper to cut, single labels of a label printer. Described by measure.

Sheets are centred on their paper; that is how label sheets of these measures are usually cut (common practice,
no source). The nudge on the page moves the print where a printer or a sheet differs.
"""

from dataclasses import dataclass

IN, MM = 72.0, 72.0 / 25.4  # points
LETTER, A4 = (8.5 * IN, 11 * IN), (210 * MM, 297 * MM)


@dataclass(frozen=True, slots=True)
class LabelSize:
    """One size, all measures in points; a single label has one row and one column and no margins."""

    key: str
    group: str
    words: str
    width_pt: float
    height_pt: float
    paper_pt: tuple[float, float]
    across: int = 1
    down: int = 1
    gap_x_pt: float = 0.0
    gap_y_pt: float = 0.0
    cut_lines: bool = False

    @property
    def on_a_sheet(self) -> int:
        return self.across * self.down

    def corner_pt(self, place: int) -> tuple[float, float]:
        """The lower left corner of a place on the sheet, 0 top left, counted row by row."""
        row, column = divmod(place, self.across)
        left = (self.paper_pt[0] - self.across * self.width_pt - (self.across - 1) * self.gap_x_pt) / 2
        top = (self.paper_pt[1] - self.down * self.height_pt - (self.down - 1) * self.gap_y_pt) / 2
        x = left + column * (self.width_pt + self.gap_x_pt)
        return x, self.paper_pt[1] - top - (row + 1) * self.height_pt - row * self.gap_y_pt


def _sheet(key, words, size, across, down, paper, gap=(0.0, 0.0), cut=False) -> LabelSize:
    names = {LETTER: "Sheets of 8 1/2 × 11 in", A4: "Sheets of 210 × 297 mm"}
    return LabelSize(key, names[paper], words, *size, paper, across, down, *gap, cut)


def _single(key: str, words: str, width_pt: float, height_pt: float) -> LabelSize:
    return LabelSize(key, "Single labels", words, width_pt, height_pt, (width_pt, height_pt))


SIZES = (
    _sheet("letter-30", "30 small labels, 2 5/8 × 1 in", (2.625 * IN, IN), 3, 10, LETTER, (0.125 * IN, 0)),
    _sheet("letter-10", "10 labels, 4 × 2 in", (4 * IN, 2 * IN), 2, 5, LETTER, (0.1875 * IN, 0)),
    _sheet("letter-6", "6 large labels, 4 × 3 1/3 in", (4 * IN, 10 / 3 * IN), 2, 3, LETTER, (0.1875 * IN, 0)),
    _sheet("letter-cut-8", "8 on plain paper, lines to cut", (3.75 * IN, 2.5 * IN), 2, 4, LETTER, cut=True),
    _sheet("letter-sign", "2 signs to read from afar", (7.5 * IN, 5 * IN), 1, 2, LETTER, cut=True),
    _sheet("a4-21", "21 small labels, 63.5 × 38.1 mm", (63.5 * MM, 38.1 * MM), 3, 7, A4, (2.5 * MM, 0)),
    _sheet("a4-8", "8 labels, 99 × 68 mm", (99.1 * MM, 67.7 * MM), 2, 4, A4, (2.5 * MM, 0)),
    _sheet("a4-cut-8", "8 on plain paper, lines to cut", (95 * MM, 65 * MM), 2, 4, A4, cut=True),
    _sheet("a4-sign", "2 signs to read from afar", (190 * MM, 135 * MM), 1, 2, A4, cut=True),
    _single("single-2x1", "2 × 1 in", 2 * IN, IN),
    _single("single-3x2", "3 × 2 in", 3 * IN, 2 * IN),
    _single("single-4x2", "4 × 2 in", 4 * IN, 2 * IN),
    _single("single-6x4", "6 × 4 in", 6 * IN, 4 * IN),
    _single("single-57x32", "57 × 32 mm", 57 * MM, 32 * MM),
    _single("single-100x50", "100 × 50 mm", 100 * MM, 50 * MM),
    _single("single-50x80", "50 × 80 mm, upright", 50 * MM, 80 * MM),
)
BY_KEY = {size.key: size for size in SIZES}


def grouped() -> list[tuple[str, list[LabelSize]]]:
    """The sizes by group, for a list of choices."""
    groups: dict[str, list[LabelSize]] = {}
    for size in SIZES:
        groups.setdefault(size.group, []).append(size)
    return list(groups.items())

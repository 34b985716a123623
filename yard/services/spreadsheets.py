"""Reading a person's CSV: which encoding, which mark between cells, which headings, row by row."""

import codecs
import csv
import hashlib
import io
from collections.abc import Iterator
from dataclasses import dataclass

# The program's own limits, no source: far above a yard's list, and read within seconds.
MOST_BYTES = 20 * 1024 * 1024
MOST_ROWS = 50_000
MOST_COLUMNS = 200
DELIMITERS = (";", "\t", ",", "|")
WORKBOOK = b"PK\x03\x04"  # the first bytes of a zipped workbook; ZIP specification, from memory
OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"  # and of an older one; from memory


class UnreadableFile(ValueError):  # noqa: N818 - reads as the sentence it is
    """The file is no list that can be read; the message says what to do instead."""


@dataclass(frozen=True, slots=True)
class Spreadsheet:
    """A CSV as text, with how it was written and what stands in its first row."""

    text: str
    encoding: str
    delimiter: str
    headings: tuple[str, ...]
    rows: int

    @property
    def header_key(self) -> str:
        """The same for files with the same headings."""
        words = "\x1f".join(heading.lower() for heading in self.headings)
        return hashlib.sha256(words.encode()).hexdigest()


def spreadsheet_read(data: bytes) -> Spreadsheet:
    """Read the bytes of a CSV file. Errors: UnreadableFile with a sentence that says what to do."""
    if len(data) > MOST_BYTES:
        raise UnreadableFile(f"The file is {len(data) / 1e6:.0f} MB; the most is {MOST_BYTES // 1024**2} MB. Split it.")
    if data.startswith((WORKBOOK, OLD_WORKBOOK)):
        raise UnreadableFile(
            "This is a workbook, not CSV. In the spreadsheet program choose “Save as” and then CSV (UTF-8)."
        )
    text, encoding = _decoded(data)
    if not text.strip():
        raise UnreadableFile("The file is empty: it needs a row of headings and a row for each piece.")
    delimiter = _delimiter(text)
    headings: tuple[str, ...] = ()
    rows = 0
    for _number, cells in _records(text, delimiter):
        if not any(cell.strip() for cell in cells):
            continue
        if headings:
            rows += 1
        else:
            headings = _headings(cells)
    if rows > MOST_ROWS:
        raise UnreadableFile(f"The file has {rows:,} rows; the most at a time is {MOST_ROWS:,}. Split it.")
    if not rows:
        raise UnreadableFile("The file has headings but no rows under them.")
    return Spreadsheet(text, encoding, delimiter, headings, rows)


def spreadsheet_rows(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Yield each row under the headings with its number as the spreadsheet counts it (headings are row 1).

    Rows without a word are left out, but counted.
    """
    seen_headings = False
    for number, cells in _records(text, delimiter):
        if not seen_headings:
            seen_headings = any(cell.strip() for cell in cells)
        elif any(cell.strip() for cell in cells):
            yield number, [cell.strip() for cell in cells]


def spreadsheet_headings(text: str, delimiter: str) -> tuple[str, ...]:
    """The headings of a spreadsheet's text."""
    return next(_headings(cells) for _, cells in _records(text, delimiter) if any(cell.strip() for cell in cells))


def _decoded(data: bytes) -> tuple[str, str]:
    """The text and the name of its encoding: what a mark at its start says, else UTF-8, else Windows-1252."""
    marked = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    for encoding in ("utf-16",) if marked else ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\x00" in text:
            break
        return text.replace("\r\n", "\n").replace("\r", "\n"), encoding
    raise UnreadableFile(
        "The file is not plain text. In the spreadsheet program choose “Save as” and then CSV (UTF-8)."
    )


def _delimiter(text: str) -> str:
    """The mark between cells: the one that most evenly parts the first rows; a leading `sep=` line decides."""
    first = text.split("\n", 1)[0].strip().strip('"')
    if first.lower().startswith("sep=") and len(first) == 5:
        return first[4]
    sample = "\n".join(text.split("\n")[:30])
    best, best_score = ",", 0.0
    for mark in DELIMITERS:
        try:
            counts = [len(row) for row in csv.reader(io.StringIO(sample), delimiter=mark) if row]
        except csv.Error:
            continue
        cells = counts[0] if counts else 0
        alike = sum(count == cells for count in counts) / max(1, len(counts))
        score = (cells - 1) * alike**2
        if score > best_score:
            best, best_score = mark, score
    return best


def _records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Yield every row with its number; a quotation mark left open is named with its row."""
    lines = io.StringIO(text)
    number = 0
    if text[:4].lower() == "sep=":
        lines.readline()
        number = 1
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    while True:
        number += 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise UnreadableFile(
                f"Row {number} cannot be read: a quotation mark is left open or stands in the middle of a cell."
            ) from error
        yield number, cells


def _headings(cells: list[str]) -> tuple[str, ...]:
    """The headings, each different: an empty one is named after its column, a doubled one gets its number."""
    while cells and not cells[-1].strip():
        cells = cells[:-1]
    if len(cells) > MOST_COLUMNS:
        raise UnreadableFile(f"The file has {len(cells)} columns; the most is {MOST_COLUMNS}.")
    headings: list[str] = []
    for place, cell in enumerate(cells, start=1):
        name = " ".join(cell.split())[:80] or f"Column {_letters(place)}"
        same = sum(heading.lower().split(" #")[0] == name.lower() for heading in headings)
        headings.append(f"{name} #{same + 1}" if same else name)
    return tuple(headings)


def _letters(place: int) -> str:
    """The letters of a spreadsheet's column: 1 is A, 27 is AA."""
    letters = ""
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(65 + rest) + letters
    return letters

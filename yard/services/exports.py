"""Lists as CSV: streamed row by row, readable by any spreadsheet, and harmless in one.

A list is a queryset and its columns. Nothing is held in memory but a few thousand rows at a time.
"""

import csv
import io
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Literal

from django.db.models import QuerySet
from django.utils import timezone

BOM = "\ufeff"  # tells spreadsheets that the text is UTF-8
ROWS_AT_A_TIME = 2000
# A text cell that begins like this is a formula, or hides one, to a spreadsheet. Source: OWASP, CSV Injection.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading, where its value is (a lookup path of the queryset), how it is written."""

    heading: str
    path: str
    write: Callable[[Any], Any] | None = None


@dataclass(frozen=True, slots=True)
class Dialect:
    """How a spreadsheet wants its file: `comma` 1,200.5 with commas between; `semicolon` 1200,5 with ;."""

    delimiter: Literal[",", ";"] = ","
    decimal_mark: Literal[".", ","] = "."
    bom: bool = True


COMMA = Dialect()
SEMICOLON = Dialect(";", ",")
PLAIN = Dialect(bom=False)
DIALECTS = {"comma": COMMA, "semicolon": SEMICOLON, "plain": PLAIN}


def csv_rows(queryset: QuerySet, columns: Iterable[Column], dialect: Dialect = COMMA) -> Iterator[bytes]:
    """Yield the list as UTF-8 CSV in pieces, headings first.

    Every path is fetched by one query; related rows come by joins, so the number of queries is one.
    """
    columns = tuple(columns)
    rows = queryset.values_list(*dict.fromkeys(column.path for column in columns))
    places = {path: i for i, path in enumerate(dict.fromkeys(column.path for column in columns))}
    readers = [(places[column.path], column.write) for column in columns]
    piece = _Piece(dialect)
    piece.add([column.heading for column in columns])
    for count, row in enumerate(rows.iterator(chunk_size=ROWS_AT_A_TIME), start=1):
        piece.add([cell(write(row[i]) if write else row[i], dialect) for i, write in readers])
        if count % 500 == 0:
            yield piece.taken()
    yield piece.taken()


def cell(value: Any, dialect: Dialect = COMMA) -> str:
    """Write one value for a spreadsheet; text that would be taken for a formula gets an apostrophe before it.

    >>> cell("=1+1"), cell(-2.5), cell(True), cell(None), cell(2.5, SEMICOLON)
    ("'=1+1", '-2.5', 'yes', '', '2,5')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | Decimal | int):
        return _number(value).replace(".", dialect.decimal_mark)
    if isinstance(value, datetime):
        return f"{timezone.localtime(value) if timezone.is_aware(value) else value:%Y-%m-%d %H:%M}"
    if isinstance(value, date):
        return value.isoformat()
    return neutralised(str(value))


def neutralised(text: str) -> str:
    """Put an apostrophe before text that a spreadsheet would run as a formula.

    >>> neutralised("@SUM(A1)"), neutralised(" =1"), neutralised("WO-12")
    ("'@SUM(A1)", "' =1", 'WO-12')
    """
    return f"'{text}" if text.startswith(FORMULA_STARTS) or text.lstrip().startswith(FORMULA_STARTS) else text


def un_neutralised(text: str) -> str:
    """Take that apostrophe off again, so that what was exported is imported as it was.

    >>> un_neutralised("'=1+1"), un_neutralised("'58 oak")
    ('=1+1', "'58 oak")
    """
    bare = text[1:]
    return bare if text.startswith("'") and neutralised(bare) == text else text


def _number(value: float | Decimal | int) -> str:
    """A number without an exponent; floats to six places, which is far finer than a tape."""
    if isinstance(value, float):
        text = f"{value:.6f}".rstrip("0").rstrip(".")
        return "0" if text in ("-0", "") else text
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


class _Piece:
    """Rows written so far and not yet sent."""

    def __init__(self, dialect: Dialect) -> None:
        self.text = io.StringIO(BOM if dialect.bom else "")
        self.text.seek(0, io.SEEK_END)
        self.writer = csv.writer(self.text, delimiter=dialect.delimiter)

    def add(self, row: list[str]) -> None:
        self.writer.writerow(row)

    def taken(self) -> bytes:
        written = self.text.getvalue().encode()
        self.text.seek(0)
        self.text.truncate()
        return written

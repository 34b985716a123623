"""What the rows of a printed document say, as text; `document_pdf.py` sets them on paper."""

import re
from dataclasses import dataclass
from decimal import Decimal

from sales.models import DocumentKind, LineKind
from sales.services.printed_document import PrintedDocument, PrintedLine, spoken_day
from yard import quantities as shown
from yard.quantities import CURRENCY_SIGNS
from yard.shown_units import METRIC
from yard.wood.units import m3_from_bf

Cell = tuple[str, str]
# Blanks at which a size must not be broken: between feet and inches, whole and fraction, figure and unit, round x.
SIZE_BLANKS = re.compile(r"(?<=') (?=\d)|(?<=\d) (?=\d+/\d)|(?<=\d) (?=(?:in|cm|m)\b)| (?=×)|(?<=×) ")


@dataclass(frozen=True, slots=True)
class DocumentRows:
    """All rows of a document, for a page that shows it as the paper does."""

    head: list[tuple[str, str]]
    line_heads: tuple[str, ...]
    lines: list[tuple[Cell, ...]]
    totals: list[tuple[str, str, bool]]
    words: list[tuple[str, str]]


def document_rows(document: PrintedDocument, *, units: str) -> DocumentRows:
    """The same rows as on paper."""
    heads, lines = line_rows(document, metric=units == METRIC)
    return DocumentRows(head_rows(document), heads, lines, total_rows(document), word_rows(document))


def head_rows(document: PrintedDocument) -> list[tuple[str, str]]:
    """Number, order, day and until when: the facts beside the title."""
    rows = [
        ("Number", document.number),
        ("Order", document.order_number),
        ("Date", spoken_day(document.issued_on)),
    ]
    if document.day_words:
        first, rest = document.day_words.split(" ", 1)
        word, day = rest.split(" ", 1)
        rows.append((f"{first} {word}", day))
    return rows


def line_rows(document: PrintedDocument, *, metric: bool) -> tuple[tuple[str, ...], list[tuple[Cell, ...]]]:
    """Headings and rows; every cell has its words and smaller words beneath."""
    heads = ("No.", "Tag", "What", "Board feet", "Price", "Total")
    if not document.has_prices:
        return heads[:4], [_line_row(line, document.currency, metric)[:4] for line in document.lines]
    return heads, [_line_row(line, document.currency, metric) for line in document.lines]


def total_rows(document: PrintedDocument) -> list[tuple[str, str, bool]]:
    """Name, figure, and whether it is one that the eye looks for."""
    feet = ("Wood, board feet", f"{document.bf_total:,f}", False)
    if not document.has_prices:
        return [("Pieces", f"{document.pieces}", False), feet]
    rows = [feet] if document.bf_total else []
    rows += [("Sum of the lines", _money(document.lines_total, document), False)]
    if document.discount:
        rows.append((f"Discount {document.discount_pct:f}%", _money(-document.discount, document), False))
    if document.tax_pct:
        rows.append((f"Tax {document.tax_pct:f}%", _money(document.tax, document), False))
    total = "Total credited" if document.kind == DocumentKind.CREDIT else "Total"
    rows.append((total, _money(document.total, document), True))
    if document.kind == "invoice":
        if document.paid:
            rows.append(("Paid", _money(document.paid, document), False))
        rows.append(("To pay", _money(document.to_pay, document), True))
    return rows


def word_rows(document: PrintedDocument) -> list[tuple[str, str]]:
    """What is said in sentences: on what basis, how dry, by when, on what terms."""
    wood = any(line.kind != LineKind.OTHER for line in document.lines)
    rows = [
        ("Footage", document.footage_words if wood else ""),
        ("Moisture content at delivery", document.mc_words if wood else ""),
        ("Ready", document.promise_words if document.kind == "quote" else ""),
        ("Terms", document.terms),
        ("Note", document.note),
    ]
    return [(name, words.strip()) for name, words in rows if words.strip()]


def money_text(amount: Decimal, currency: str) -> str:
    """An amount to the cent, or finer where it was given finer, in the document's own currency."""
    text = f"{abs(amount):,f}"
    if "." not in text or len(text.rsplit(".", 1)[1]) < 2:
        text = f"{abs(amount):,.2f}"
    sign, minus = CURRENCY_SIGNS.get(currency), "−" if amount < 0 else ""
    return f"{minus}{sign}{text}" if sign else f"{minus}{text} {currency}"


def sizes_kept(words: str) -> str:
    """The words with sizes that stay on one line.

    >>> sizes_kept("slab, 21 1/2 in × 8' 2")
    "slab, 21\\xa01/2\\xa0in\\xa0×\\xa08'\\xa02"
    """
    return SIZE_BLANKS.sub("\u00a0", words)


def _line_row(line: PrintedLine, currency: str, metric: bool) -> tuple[Cell, ...]:
    feet = f"{line.bf:,f}" if line.bf is not None else ""
    cubic = f"{shown.number(m3_from_bf(float(line.bf)), 4)} m³" if metric and line.bf is not None else ""
    price = "" if line.not_ours else money_text(line.unit_price, currency)
    many = line.per == "slab" and line.quantity != 1
    per = f"{line.quantity:f} × {line.per_words}" if many else line.per_words
    return (
        (f"{line.place}", ""), (line.tag, ""), (sizes_kept(line.words), line.footnote), (feet, cubic),
        (price, "" if line.not_ours else per), (money_text(line.total, currency), "" if line.taxed else "not taxed"),
    )  # fmt: skip


def _money(amount: Decimal, document: PrintedDocument) -> str:
    return money_text(amount, document.currency)

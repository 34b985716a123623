"""Quotes, delivery notes, invoices and drying bills as PDF: as many pages as they need, the head of the list on each.

Paper is Letter where the yard reads inches and A4 where it reads metres; the measures of the page are the program's
own, no source.
"""

import io
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, KeepTogether, LongTable, PageTemplate, Spacer, Table
from reportlab.platypus.paragraph import Paragraph

from sales.services.document_rows import head_rows, line_rows, total_rows, word_rows
from sales.services.printed_document import PrintedDocument, spoken_day
from yard.services.pdf_fonts import BOLD, PLAIN, cut_to_fit, fonts_ready
from yard.shown_units import METRIC

EDGE, FOOT, HEAD = 16 * mm, 18 * mm, 22 * mm
INK, SOFT, LINE = colors.HexColor("#1c1c1a"), colors.HexColor("#4a4a45"), colors.HexColor("#b8b4aa")


def _style(name: str, size: float, *, bold: bool = False, right: bool = False, soft: bool = False) -> ParagraphStyle:
    return ParagraphStyle(
        name, fontName=BOLD if bold else PLAIN, fontSize=size, leading=size * 1.32, alignment=2 if right else 0,
        textColor=SOFT if soft else INK, splitLongWords=1,
    )  # fmt: skip


TEXT, RIGHT, STRONG = _style("text", 9), _style("right", 9, right=True), _style("strong", 9, bold=True)
STRONG_RIGHT = _style("strong-right", 9, bold=True, right=True)
SMALL, SMALL_RIGHT = _style("small", 7.6, soft=True), _style("small-right", 7.6, right=True, soft=True)
TITLE, NAME = _style("title", 20, bold=True), _style("name", 11, bold=True)


def document_pdf(document: PrintedDocument, *, units: str) -> bytes:
    """The document as a PDF file; with metric units footage is given in cubic metres too."""
    fonts_ready()
    out = io.BytesIO()
    size = A4 if units == METRIC else LETTER
    template = BaseDocTemplate(
        out, pagesize=size, title=f"{document.title} {document.number}", author=document.seller.name, invariant=1
    )
    wide = size[0] - 2 * EDGE
    first = Frame(EDGE, FOOT, wide, size[1] - FOOT - EDGE, 0, 0, 0, 0, id="first")
    later = Frame(EDGE, FOOT, wide, size[1] - FOOT - HEAD, 0, 0, 0, 0, id="later")
    template.addPageTemplates(
        [PageTemplate("first", [first], autoNextPageTemplate="later"), PageTemplate("later", [later])]
    )
    story = [
        *_head(document, wide),
        _lines(document, wide, metric=units == METRIC),
        *_totals(document, wide),
        *_words(document, wide),
        *_signature(document, wide),
    ]
    template.build(story, canvasmaker=lambda *args, **more: _Numbered(document, *args, **more))
    return out.getvalue()


class _Numbered(Canvas):
    """Knows how many pages there are once all are drawn, and writes "Page 2 of 3" under each."""

    def __init__(self, document: PrintedDocument, *args, **more) -> None:
        super().__init__(*args, **more)
        self._document, self._pages = document, []

    def showPage(self) -> None:  # noqa: N802 - the library's name
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        count = len(self._pages)
        for number, page in enumerate(self._pages, start=1):
            self.__dict__.update(page)
            self._foot(number, count)
            super().showPage()
        super().save()

    def _foot(self, number: int, count: int) -> None:
        wide, high = self._pagesize
        document = self._document
        self.setFillColor(SOFT)
        self.setStrokeColor(LINE)
        self.setLineWidth(0.4)
        self.line(EDGE, FOOT - 3 * mm, wide - EDGE, FOOT - 3 * mm)
        self.setFont(PLAIN, 7.6)
        words = f"{document.seller.name} · {document.title} {document.number} · {spoken_day(document.issued_on)}"
        self.drawString(EDGE, FOOT - 8 * mm, cut_to_fit(words, PLAIN, 7.6, wide - 2 * EDGE - 30 * mm))
        self.drawRightString(wide - EDGE, FOOT - 8 * mm, f"Page {number} of {count}")
        if number > 1:
            self.setFont(BOLD, 9)
            words = f"{document.title} {document.number}, continued: {document.buyer.name}"
            self.drawString(EDGE, high - 14 * mm, cut_to_fit(words, BOLD, 9, wide - 2 * EDGE))


def _head(document: PrintedDocument, wide: float) -> list[Flowable]:
    seller, buyer = document.seller, document.buyer
    right = [Paragraph(escape(document.title), TITLE), Spacer(1, 3 * mm)]
    facts = [[_p(name, SMALL), _p(value, TEXT)] for name, value in head_rows(document)]
    right.append(_plain(Table(facts, colWidths=[wide * 0.13, wide * 0.29], hAlign="LEFT")))
    left = [_p(seller.name, NAME), _p(seller.address, TEXT), _p(seller.more, SMALL), Spacer(1, 6 * mm)]
    left += [_p("For", SMALL), _p(buyer.name, NAME), _p(buyer.address, TEXT), _p(buyer.more, SMALL)]
    both = _plain(Table([[left, right]], colWidths=[wide * 0.56, wide * 0.44]))
    return [both, Spacer(1, 7 * mm)]


def _lines(document: PrintedDocument, wide: float, *, metric: bool) -> Flowable:
    heads, rows = line_rows(document, metric=metric)
    shares = (0.05, 0.11, 0.47, 0.10, 0.13, 0.14) if document.has_prices else (0.06, 0.16, 0.63, 0.15)
    table = LongTable([_head_cells(heads)] + [_cells(row) for row in rows], [wide * s for s in shares], repeatRows=1)
    table.setStyle(
        [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LINEBELOW", (0, 0), (-1, 0), 0.9, INK),
            ("LINEBELOW", (0, 1), (-1, -1), 0.3, LINE),
            ("LEFTPADDING", (0, 0), (-1, -1), 2),
            ("RIGHTPADDING", (0, 0), (-1, -1), 3),
            ("TOPPADDING", (0, 0), (-1, -1), 2.4),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.8),
        ]
    )
    return table


def _head_cells(heads: tuple[str, ...]) -> list[Paragraph]:
    return [_p(head, SMALL_RIGHT if place >= 3 else SMALL) for place, head in enumerate(heads)]


def _cells(row: tuple[tuple[str, str], ...]) -> list[list[Paragraph]]:
    """Each cell has its words and, smaller beneath, more words; figures stand to the right."""
    styles = (TEXT, STRONG, TEXT, RIGHT, RIGHT, RIGHT)
    return [
        [_p(words, style), *([_p(under, SMALL_RIGHT if style is RIGHT else SMALL)] if under else [])]
        for (words, under), style in zip(row, styles, strict=False)
    ]


def _totals(document: PrintedDocument, wide: float) -> list[Flowable]:
    rows = total_rows(document)
    cells = [[_p(name, STRONG if main else TEXT), _p(value, STRONG_RIGHT if main else RIGHT)]
             for name, value, main in rows]  # fmt: skip
    table = Table(cells, colWidths=[wide * 0.30, wide * 0.20], hAlign="RIGHT")
    rules = [("LINEABOVE", (0, place), (-1, place), 0.9, INK) for place, row in enumerate(rows) if row[2]]
    table.setStyle(
        [*rules, ("RIGHTPADDING", (0, 0), (-1, -1), 3), ("TOPPADDING", (0, 0), (-1, -1), 2),
         ("BOTTOMPADDING", (0, 0), (-1, -1), 2)]
    )  # fmt: skip
    return [Spacer(1, 3 * mm), KeepTogether(table), Spacer(1, 6 * mm)]


def _words(document: PrintedDocument, wide: float) -> list[Flowable]:
    """Basis, MC, promise, terms and note: long ones run over to the next page."""
    story: list[Flowable] = []
    for name, words in word_rows(document):
        paragraphs = [_p(part, TEXT) for part in words.splitlines() if part.strip()]
        story.append(KeepTogether([_p(name, SMALL), *paragraphs[:1]]))
        story += [*paragraphs[1:], Spacer(1, 3 * mm)]
    return story


def _signature(document: PrintedDocument, wide: float) -> list[Flowable]:
    if document.has_prices:
        return []
    lines = Table([[_p("Received: date", SMALL), "", _p("Name and signature", SMALL)]],
                  colWidths=[wide * 0.3, wide * 0.06, wide * 0.64])  # fmt: skip
    lines.setStyle([("LINEABOVE", (0, 0), (0, 0), 0.5, INK), ("LINEABOVE", (2, 0), (2, 0), 0.5, INK)])
    return [KeepTogether([Spacer(1, 14 * mm), lines])]


def _plain(table: Table) -> Table:
    table.setStyle(
        [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
         ("TOPPADDING", (0, 0), (-1, -1), 1), ("BOTTOMPADDING", (0, 0), (-1, -1), 1)]
    )  # fmt: skip
    return table


def _p(words: str, style: ParagraphStyle) -> Paragraph:
    return Paragraph(escape(words).replace("\n", "<br/>"), style)

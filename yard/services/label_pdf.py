"""Labels as PDF: the QR code as vector squares, and text large enough to read without a phone."""

import io
from collections.abc import Sequence
from dataclasses import dataclass

import segno
from reportlab.pdfgen.canvas import Canvas

from yard.services.label_sizes import LabelSize
from yard.services.pdf_fonts import BOLD, PLAIN, cut_to_fit, fonts_ready, size_that_fits_pt, width_pt

# The program's own measures, no source, but for the quiet zone: four modules round a QR code (ISO/IEC 18004,
# from memory); the label's own white edge is part of it.
QUIET_MODULES = 4
EDGE_SHARE, LEAST_EDGE_PT = 0.045, 4.0
LEAST_TEXT_PT, MOST_TEXT_PT = 5.5, 30.0
LINE = 1.18


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says: a large tag, lines under it the most telling first, the code, and where the QR leads."""

    tag: str
    lines: tuple[str, ...]
    code: str
    url: str


@dataclass(frozen=True, slots=True)
class _Box:
    x: float
    y: float
    wide: float
    high: float


def labels_pdf(
    labels: Sequence[Label],
    size: LabelSize,
    *,
    first_place: int = 0,
    nudge_pt: tuple[float, float] = (0.0, 0.0),
    title: str = "Labels",
) -> bytes:
    """The labels on as many sheets as they need, starting at a place of a sheet that is partly used up."""
    fonts_ready()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=size.paper_pt, pageCompression=1, invariant=1)
    canvas.setTitle(title)
    for number, label in enumerate(labels):
        place = (first_place + number) % size.on_a_sheet
        if number and place == 0:
            canvas.showPage()
        x, y = size.corner_pt(place)
        _draw(canvas, label, size, x + nudge_pt[0], y + nudge_pt[1])
    canvas.save()
    return out.getvalue()


def _draw(canvas: Canvas, label: Label, size: LabelSize, x: float, y: float) -> None:
    if size.cut_lines:
        canvas.setLineWidth(0.4)
        canvas.setDash(2, 3)
        canvas.rect(x, y, size.width_pt, size.height_pt)
        canvas.setDash()
    edge = max(LEAST_EDGE_PT, EDGE_SHARE * min(size.width_pt, size.height_pt))
    if size.width_pt >= size.height_pt:
        side = min(size.height_pt, size.width_pt * 0.42)
        _qr(canvas, label.url, x, y + (size.height_pt - side) / 2, side, edge)
        text = _Box(x + side, y + edge, size.width_pt - side - edge, size.height_pt - 2 * edge)
    else:
        side = size.width_pt * 0.86
        _qr(canvas, label.url, x + (size.width_pt - side) / 2, y, side, edge)
        text = _Box(x + edge, y + side, size.width_pt - 2 * edge, size.height_pt - side - edge)
    _text(canvas, label, text)


def _qr(canvas: Canvas, url: str, x: float, y: float, side: float, edge: float) -> None:
    """The code in a square of that side, its quiet zone within it; runs of dark modules are one rectangle."""
    matrix = [[bool(module) for module in row] for row in segno.make_qr(url, error="M").matrix]
    module = side / (len(matrix) + 2 * QUIET_MODULES)
    canvas.setFillGray(0)
    path = canvas.beginPath()
    for row_number, row in enumerate(matrix):
        top = y + side - (QUIET_MODULES + row_number) * module
        for start, length in _runs(row):
            path.rect(x + (QUIET_MODULES + start) * module, top - module, length * module, module)
    canvas.drawPath(path, stroke=0, fill=1)


def _runs(row: Sequence[bool]) -> list[tuple[int, int]]:
    runs, start = [], None
    for place, dark in enumerate([*row, False]):
        if dark and start is None:
            start = place
        elif not dark and start is not None:
            runs.append((start, place - start))
            start = None
    return runs


def _text(canvas: Canvas, label: Label, box: _Box) -> None:
    """The tag as large as fits, then lines from the top, and the code at the foot."""
    code = f"{label.code[:3]} {label.code[3:]}"
    code_pt = size_that_fits_pt(code, BOLD, box.wide, min(max(box.high * 0.13, 7.0), 26.0))
    tag_pt, tag_lines = _tag_in(label.tag, box.wide, box.high)
    room = box.high - tag_pt * 1.05 * len(tag_lines) - code_pt * 1.3
    text_pt, lines = _set_in(label.lines, box.wide, room, min(MOST_TEXT_PT, tag_pt * 0.8))
    baseline = box.y + box.high + tag_pt * 0.18
    canvas.setFont(BOLD, tag_pt)
    for line in tag_lines:
        baseline -= tag_pt
        canvas.drawString(box.x, baseline, line)
    baseline -= tag_pt * 0.24
    canvas.setFont(PLAIN, text_pt)
    for line in lines:
        baseline -= text_pt * LINE
        canvas.drawString(box.x, baseline + text_pt * 0.2, line)
    canvas.setFont(BOLD, code_pt)
    canvas.drawString(box.x, box.y + code_pt * 0.1, code)


def _tag_in(tag: str, wide: float, high: float) -> tuple[float, list[str]]:
    """The tag in one line or, of several words, in two where that makes it larger."""
    size = size_that_fits_pt(tag, BOLD, wide, min(high * 0.34, 96.0))
    words, best = tag.split(" "), (size, [tag])
    for cut in range(1, len(words)):
        parts = [" ".join(words[:cut]), " ".join(words[cut:])]
        size = min(size_that_fits_pt(part, BOLD, wide, min(high * 0.22, 70.0)) for part in parts)
        best = max(best, (size, parts), key=lambda one: one[0])
    return best


def _set_in(lines: Sequence[str], wide: float, room: float, most_pt: float) -> tuple[float, list[str]]:
    """The largest size at which all lines fit, broken between words where that lets them be larger."""
    size = max(most_pt, LEAST_TEXT_PT)
    while True:
        broken = [part for line in lines for part in _broken(line, wide, size)]
        fits = len(broken) * size * LINE <= room and all(width_pt(part, PLAIN, size) <= wide for part in broken)
        if fits:
            return size, broken
        if size <= LEAST_TEXT_PT:
            break
        size = max(LEAST_TEXT_PT, size * 0.96)
    whole = max(0, int(room / (size * LINE) + 1e-6))
    return size, [cut_to_fit(line, PLAIN, size, wide) for line in lines[:whole]]


def _broken(line: str, wide: float, size: float) -> list[str]:
    parts, now = [], ""
    for word in line.replace("' ", "'\u00a0").split(" "):  # feet and inches stay together
        longer = f"{now} {word}" if now else word
        if now and width_pt(longer, PLAIN, size) > wide:
            parts.append(now)
            now = word
        else:
            now = longer
    return [*parts, now]

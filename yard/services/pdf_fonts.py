"""The fonts that printed things are set in: shipped with the program, so that every name prints as it is written."""

from functools import cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN, BOLD = "Yard", "Yard-Bold"
FOLDER = Path(__file__).resolve().parents[1] / "fonts"


@cache
def fonts_ready() -> None:
    """Make both fonts known to the PDF library, once in a process."""
    pdfmetrics.registerFont(TTFont(PLAIN, FOLDER / "DejaVuSans.ttf"))
    pdfmetrics.registerFont(TTFont(BOLD, FOLDER / "DejaVuSans-Bold.ttf"))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


def width_pt(text: str, font: str, size_pt: float) -> float:
    """How wide a line of text prints [pt]."""
    return pdfmetrics.stringWidth(text, font, size_pt)


def size_that_fits_pt(text: str, font: str, wide_pt: float, most_pt: float) -> float:
    """The largest size [pt] up to `most_pt` at which the line is no wider than `wide_pt`."""
    at_most = width_pt(text, font, most_pt)
    return most_pt if at_most <= wide_pt else most_pt * wide_pt / at_most


def cut_to_fit(text: str, font: str, size_pt: float, wide_pt: float) -> str:
    """The line, its end cut off with an ellipsis where it is wider than `wide_pt`."""
    if width_pt(text, font, size_pt) <= wide_pt:
        return text
    while text and width_pt(f"{text.rstrip()}…", font, size_pt) > wide_pt:
        text = text[:-1]
    return f"{text.rstrip()}…"

"""The end of a stack as a drawing: each piece a box, as wide and thick as it is, course on course."""

from collections.abc import Sequence
from dataclasses import dataclass

from yard.models import SlabKind
from yard.services.courses import IN_PER_FT
from yard.services.stack_figures import Course, Shape

MARGIN_IN = 2.0
BEARER_IN = 4.0
LEAST_HEIGHT_IN = 12.0


@dataclass(frozen=True, slots=True)
class Box:
    """A piece in the drawing, in inches from the top left."""

    x: float
    y: float
    width: float
    height: float
    words: str
    kind: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """The whole drawing: its size in inches, pieces, stickers and bearers, and what it says in words."""

    width: float
    height: float
    pieces: tuple[Box, ...]
    stickers: tuple[Box, ...]
    bearers: tuple[Box, ...]
    words: str


def stack_drawing(*, shape: Shape, courses: Sequence[Course]) -> Drawing | None:
    """Draw the courses from the end of the stack; None while nothing lies in it."""
    if not courses:
        return None
    widest_in = max(shape.width_ft * IN_PER_FT, *(course.used_in / course.layers for course in courses))
    layers = [course for course in courses for _ in range(course.layers)]
    wood_in = sum(course.thickness_in for course in layers) + shape.sticker_in * (len(layers) - 1)
    top, left = max(LEAST_HEIGHT_IN - wood_in, MARGIN_IN), MARGIN_IN
    pieces, stickers, y = [], [], top + wood_in
    for number, course in enumerate(layers):
        if number:
            y -= shape.sticker_in
            stickers.append(Box(left, y, widest_in, shape.sticker_in, "", "sticker"))
        y -= course.thickness_in
        pieces += _pieces(course, left, y + course.thickness_in, widest_in)
    floor = top + wood_in
    bearers = tuple(
        Box(left + (widest_in - BEARER_IN) * share, floor, BEARER_IN, BEARER_IN, "", "bearer") for share in (0, 0.5, 1)
    )
    words = f"{len(layers)} course{'s' * (len(layers) != 1)}, seen from the end; the list says the same."
    return Drawing(
        round(widest_in + 2 * MARGIN_IN, 2), round(floor + BEARER_IN + MARGIN_IN, 2),
        tuple(pieces), tuple(stickers), bearers, words,
    )  # fmt: skip


def _pieces(course: Course, left: float, floor: float, widest_in: float) -> list[Box]:
    """The pieces of one layer with even gaps; the boards of a lot share their layers."""
    boards = [
        (slab.tag, slab.mean_width_in, slab.thickness_in)
        for slab in course.slabs
        for _ in range(-(-slab.count // course.layers) if slab.kind == SlabKind.LOT else 1)
    ]
    free = max(0.0, widest_in - sum(width for _tag, width, _thick in boards))
    gap = free / (len(boards) + 1)
    x, boxes = left + gap, []
    for tag, width, thickness in boards:
        boxes.append(Box(round(x, 2), round(floor - thickness, 2), round(width, 2), thickness, tag, "piece"))
        x += width + gap
    return boxes

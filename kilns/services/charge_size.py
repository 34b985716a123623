"""Whether wood fits into a kiln: as it stands, or laid anew in courses as wide as the kiln takes."""

from collections.abc import Sequence
from dataclasses import dataclass

from kilns.models import Kiln
from kilns.services.stack_fits import STICKER_IN
from yard import quantities
from yard.models import Slab, SlabKind, Stack
from yard.services.courses import courses_filled
from yard.services.stack_figures import courses_of
from yard.wood.stack_layout import laid_height_in

IN_PER_FT = 12.0


@dataclass(frozen=True, slots=True)
class Laid:
    """A stack's size: courses, width, height, and its longest and widest piece."""

    courses: int
    width_ft: float
    height_ft: float
    longest_ft: float
    widest_ft: float
    length_ft: float

    def fits(self, kiln: Kiln) -> bool:
        """Whether it goes in as it is laid."""
        return (
            self.width_ft <= kiln.stack_width_ft + 0.05
            and self.height_ft <= kiln.stack_height_ft + 0.05
            and max(self.longest_ft, self.length_ft) <= kiln.stack_length_ft + 0.05
        )

    @property
    def words(self) -> str:
        """Its size in words."""
        sizes = (self.length_ft, self.width_ft, self.height_ft)
        return " x ".join(quantities.length_ft(one) for one in sizes)


def laid_in_kiln(kiln: Kiln, slabs: Sequence[Slab]) -> Laid:
    """The size of slabs laid anew in courses as wide as the kiln takes, on its stickers of 3/4 in."""
    numbers = courses_filled(slabs, kiln.stack_width_ft)
    return _laid(list(zip(slabs, numbers, strict=True)), kiln.stack_width_ft, STICKER_IN)


def laid_as_it_stands(stack: Stack, pairs: Sequence[tuple[Slab, int]]) -> Laid:
    """The size of a stack as it was built."""
    return _laid(pairs, stack.width_ft, stack.sticker_in, stack.length_ft)


def why_too_large(kiln: Kiln, laid: Laid) -> list[str]:
    """What of it does not go into the kiln however it is laid, in numbers."""
    told = []
    if laid.longest_ft > kiln.stack_length_ft + 0.05:
        longest, room = quantities.length_ft(laid.longest_ft), quantities.length_ft(kiln.stack_length_ft)
        told.append(f"Too long: {longest}, and the kiln takes {room}.")
    if laid.widest_ft > kiln.stack_width_ft + 0.05:
        widest, room = (quantities.width(one * IN_PER_FT) for one in (laid.widest_ft, kiln.stack_width_ft))
        told.append(f"Its widest piece is {widest}, and the kiln takes {room}.")
    if laid.height_ft > kiln.stack_height_ft + 0.05:
        high, room = quantities.length_ft(laid.height_ft), quantities.length_ft(kiln.stack_height_ft)
        told.append(f"Too much: {laid.courses} courses come to {high}, and the kiln takes {room}: split it.")
    return told


def _laid(pairs: Sequence[tuple[Slab, int]], width_ft: float, sticker_in: float, length_ft: float = 0.0) -> Laid:
    courses = courses_of(pairs, width_ft)
    thicknesses = [course.thickness_in for course in courses for _ in range(course.layers)]
    longest = max((_longest_in(slab) for slab, _ in pairs), default=0.0) / IN_PER_FT
    widest = max((slab.mean_width_in for slab, _ in pairs if slab.kind != SlabKind.LOT), default=0.0) / IN_PER_FT
    height = laid_height_in(thicknesses, sticker_in) / IN_PER_FT if thicknesses else 0.0
    return Laid(len(thicknesses), width_ft, height, longest, widest, length_ft or longest)


def _longest_in(slab: Slab) -> float:
    return max((row["length_in"] for row in slab.tally), default=slab.length_in) if slab.tally else slab.length_in

"""Which slab lies in which course: filled to the stack's width, or as a person said."""

from collections.abc import Sequence

from yard.models import Slab, SlabKind

IN_PER_FT = 12.0


def course_width_in(slab: Slab) -> float:
    """How much of a course's width a piece takes [in]: a lot lies with all its boards side by side."""
    if slab.kind == SlabKind.LOT:
        return slab.mean_width_in * slab.count
    return slab.mean_width_in


def courses_filled(slabs: Sequence[Slab], width_ft: float, first: int = 1) -> list[int]:
    """The course of each slab when courses are filled to the stack's width in the order given, bottom first.

    A lot wider than the stack begins a course and takes as many as it needs; what follows lies above it.
    """
    courses: list[int] = []
    course, used_in, room_in = first, 0.0, width_ft * IN_PER_FT
    for slab in slabs:
        wide_in = course_width_in(slab)
        if used_in and used_in + wide_in > room_in + 1e-6:
            course, used_in = course + 1, 0.0
        courses.append(course)
        used_in += wide_in
        if used_in > room_in + 1e-6:
            course += courses_taken(slab, width_ft) - 1
            used_in = room_in
    return courses


def courses_taken(slab: Slab, width_ft: float) -> int:
    """How many courses a piece takes by itself: more than one only for a lot wider than the stack."""
    if slab.kind != SlabKind.LOT:
        return 1
    whole, rest = divmod(course_width_in(slab), width_ft * IN_PER_FT)
    return max(1, int(whole) + (rest > 1e-6))

"""What a stack comes to, built or still being typed: courses, footage, height, weight, openings for the air."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from yard.models import Cohort, Slab
from yard.services.courses import course_width_in, courses_taken
from yard.wood.ranges import OutsideRange
from yard.wood.species import species
from yard.wood.stack_layout import LaidWood, laid_height_in, laid_weight_lb, laid_weight_only_lb
from yard.wood.stacking import StackWeight, air_flow_cfm, open_air_area_ft2, sticker_count
from yard.wood.working import Working, work_out
from yard.wood.working_measures import working_open_air_area

AIR_SPEEDS_FPM = (100.0, 200.0, 300.0, 400.0)
SQ_IN_PER_BF_IN = 144.0
GREEN, ESTIMATED = "green", "estimated"


class Shape(Protocol):
    """The sizes of a stack: a Stack has them, and so has what is being typed."""

    sticker_in: float
    sticker_width_in: float
    sticker_spacing_in: float
    width_ft: float
    length_ft: float
    top_weight_lb: float


@dataclass(frozen=True, slots=True)
class Course:
    """One course: its number from the bottom, its pieces, how much of the width they take, how many it counts as."""

    number: int
    slabs: tuple[Slab, ...]
    used_in: float
    layers: int

    @property
    def thickness_in(self) -> float:
        """The thickest piece: what the next stickers rest on."""
        return max(slab.thickness_in for slab in self.slabs)

    @property
    def thinnest_in(self) -> float:
        return min(slab.thickness_in for slab in self.slabs)

    @property
    def pieces(self) -> int:
        return sum(slab.count for slab in self.slabs)


@dataclass(frozen=True, slots=True)
class StackFigures:
    """The figures of a stack; `working_*` open them up. Figures that cannot be are None, and `why_not` says why."""

    courses: tuple[Course, ...]
    layers: int
    pieces: int
    footage_bf: float
    height_in: float
    stickers_a_course: int
    stickers: int
    green: StackWeight
    now: StackWeight | None
    open_area_ft2: float | None
    air: tuple[tuple[float, float], ...]
    why_not: str
    working_height: Working
    working_weight: Working
    working_air: Working | None


def courses_of(pairs: Iterable[tuple[Slab, int]], width_ft: float) -> tuple[Course, ...]:
    """Slabs with their course numbers as courses, bottom first; a wide lot counts as the courses it takes."""
    laid: dict[int, list[Slab]] = {}
    for slab, number in pairs:
        laid.setdefault(number, []).append(slab)
    return tuple(
        Course(
            number=number,
            slabs=tuple(slabs),
            used_in=sum(course_width_in(slab) for slab in slabs),
            layers=max(courses_taken(slab, width_ft) for slab in slabs),
        )
        for number, slabs in sorted(laid.items())
    )


def stack_figures(
    *, shape: Shape, pairs: Sequence[tuple[Slab, int]], cohorts: Mapping[int, Cohort] | None = None
) -> StackFigures:
    """Reckon a stack from its slabs with their courses.

    Parameters: pairs of slab and course number; cohorts by id with their estimates, where there are any: they
    give the weight as it is now.
    """
    courses = courses_of(pairs, shape.width_ft)
    slabs = [slab for slab, _number in pairs]
    thicknesses = [course.thickness_in for course in courses for _ in range(course.layers)]
    layers = len(thicknesses)
    per_course = sticker_count(shape.length_ft, shape.sticker_spacing_in)
    green_wood, now_wood = _wood(slabs, {}), _wood(slabs, cohorts or {})
    known = bool(cohorts) and any(cohort.estimate for cohort in cohorts.values())
    area_ft2, working_air, why_not = _open_air(shape, layers, per_course)
    return StackFigures(
        courses=courses,
        layers=layers,
        pieces=sum(slab.count for slab in slabs),
        footage_bf=sum(slab.green_bf for slab in slabs),
        height_in=laid_height_in(thicknesses, shape.sticker_in),
        stickers_a_course=per_course,
        stickers=per_course * max(0, layers - 1),
        green=laid_weight_lb(green_wood, "at each wood's usual green moisture"),
        now=laid_weight_lb(now_wood, "at the estimated moisture of today") if known else None,
        open_area_ft2=area_ft2,
        air=tuple((speed, air_flow_cfm(area_ft2, speed)) for speed in AIR_SPEEDS_FPM) if area_ft2 else (),
        why_not=why_not,
        working_height=_working_height(thicknesses, shape.sticker_in),
        working_weight=_working_weight(now_wood if known else green_wood),
        working_air=working_air,
    )


def green_mc_pct(species_key: str) -> float:
    """The usual green moisture of a wood [%]."""
    return species(species_key).green_moisture.mc_pct


def _wood(slabs: Sequence[Slab], cohorts: Mapping[int, Cohort]) -> list[LaidWood]:
    """Solid green volume by species and moisture: the estimate's mean where the cohort has one."""
    sums: dict[tuple[str, float], float] = {}
    for slab in slabs:
        cohort = cohorts.get(slab.cohort_id) if slab.cohort_id else None
        if cohort is not None and cohort.estimate is not None:
            mc_pct = round(cohort.estimate.mean_pct, 1)
        else:
            mc_pct = green_mc_pct(slab.species_key)
        key = (slab.species_key, mc_pct)
        sums[key] = sums.get(key, 0.0) + slab.area_in2 * slab.thickness_in / SQ_IN_PER_BF_IN
    return [LaidWood(wood, solid_bf, mc_pct) for (wood, mc_pct), solid_bf in sums.items()]


def _open_air(shape: Shape, layers: int, per_course: int) -> tuple[float | None, Working | None, str]:
    if layers < 2:
        return None, None, "Air passes between courses: there is only one yet."
    arguments = (layers, shape.sticker_in, shape.length_ft, per_course, shape.sticker_width_in)
    try:
        return open_air_area_ft2(*arguments), working_open_air_area(*arguments), ""
    except OutsideRange as error:
        return None, None, str(error)


def _working_height(thicknesses: Sequence[float], sticker_in: float) -> Working:
    return work_out(
        "Height of the wood",
        "thickest piece of each course, summed, + (courses − 1) × sticker",
        laid_height_in,
        {
            "course_thicknesses_in": (_runs(thicknesses), "courses, bottom first", "in"),
            "sticker_in": (sticker_in, "sticker thickness", "in"),
        },
        "in",
        "PACKAGE-FORMULA",
        notes=("Bearers under the stack are not in it.",),
    )


class _runs(tuple):  # noqa: N801 - a tuple that writes itself shorter
    """Thicknesses that show as `3 × 2.125, 1 × 1`."""

    def __str__(self) -> str:
        words: list[list] = []
        for value in self:
            if words and words[-1][1] == value:
                words[-1][0] += 1
            else:
                words.append([1, value])
        return ", ".join(f"{count} × {value:g}" for count, value in words)


class _wood_words(tuple):  # noqa: N801 - a tuple that writes itself for a reader
    """Kinds of wood that show as `northern red oak, 120 bf at 80%`."""

    def __str__(self) -> str:
        return "; ".join(
            f"{species(one.species).plain_name}, {one.green_bf:.1f} bf at {one.mc_pct:.0f}%" for one in self
        )


def _working_weight(wood: Sequence[LaidWood]) -> Working:
    gravities = "; ".join(
        f"{species(key).plain_name} {species(key).basic_specific_gravity:g} "
        f"({species(key).basic_specific_gravity_source})"
        for key in dict.fromkeys(one.species for one in wood)
    )
    return work_out(
        "Weight of the wood",
        "solid footage ÷ 12 × 62.4 × specific gravity × (1 + MC ÷ 100), summed",
        laid_weight_only_lb,
        {"wood": (_wood_words(wood), "solid footage as sawn, and moisture", "")},
        "lb",
        "WH-GTR282",
        notes=(f"Specific gravity: {gravities}." if wood else "No wood yet.", "Take it as within 15% either way."),
    )

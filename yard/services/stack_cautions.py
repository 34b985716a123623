"""What a stack's building wants: height, stickers, courses of one thickness, and the weight for the loader."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from yard import quantities
from yard.services.courses import IN_PER_FT
from yard.services.stack_figures import Course, Shape, StackFigures, green_mc_pct
from yard.wood.species import species
from yard.wood.stacking_rules import StackingRule, height_cautions, sticker_spacing, sticker_thickness

CAUTION, DANGER = "caution", "danger"
COMMON_PRACTICE = "common practice, no source"
# Common practice, no source: pieces that differ by more than a sixteenth do not carry the stickers evenly.
EVEN_WITHIN_IN = 1 / 16


@dataclass(frozen=True, slots=True)
class StackCaution:
    """One thing to mind: how grave, in words with their figures, and where the rule was read."""

    level: str
    words: str
    source: str


def stack_cautions(*, shape: Shape, figures: StackFigures) -> list[StackCaution]:
    """Everything that this stack's building wants looking at, the gravest first."""
    found = [
        *_height(shape, figures),
        *_uneven(figures.courses),
        *_stickers(shape, figures),
        *_overhang(shape, figures.courses),
    ]
    return sorted(found, key=lambda caution: caution.level != DANGER)


def loader_words(figures: StackFigures) -> str:
    """The line about lifting, with the stack's weight: always shown."""
    weight = figures.now or figures.green
    about, most = quantities.about_weight(weight.weight_lb), quantities.about_weight(weight.high_lb)
    return (
        f"Before a loader takes it: about {about}, it may be {most}, and stickers are not in it. A loader lifts less "
        "the further out the load sits: go by the plate on the machine, and weigh before you trust a figure."
    )


def _from_rule(level: str, words: str, rule: StackingRule) -> StackCaution:
    return StackCaution(level, words, f"{rule.source}: {rule.words} ({rule.provenance})")


def _height(shape: Shape, figures: StackFigures) -> Iterator[StackCaution]:
    height = quantities.length_in(figures.height_in)
    for rule in height_cautions(figures.height_in, shape.width_ft):
        yield _from_rule(
            DANGER, f"It stands {height} high on a base {quantities.length_ft(shape.width_ft)} wide.", rule
        )


def _uneven(courses: Sequence[Course]) -> Iterator[StackCaution]:
    uneven = [course for course in courses if course.thickness_in - course.thinnest_in > EVEN_WITHIN_IN]
    if uneven:
        numbers = ", ".join(str(course.number) for course in uneven[:6])
        some = f"{quantities.thickness(uneven[0].thinnest_in)} and {quantities.thickness(uneven[0].thickness_in)}"
        words = f"Course {numbers} holds pieces of different thickness ({some}): the thin ones are not held flat."
        yield StackCaution(CAUTION, words, COMMON_PRACTICE)


def _stickers(shape: Shape, figures: StackFigures) -> Iterator[StackCaution]:
    slabs = [slab for course in figures.courses for slab in course.slabs]
    if not slabs:
        return
    thinnest, thickest = min(slabs, key=lambda s: s.thickness_in), max(slabs, key=lambda s: s.thickness_in)
    spacing = sticker_spacing(thinnest.thickness_in, _is_hardwood(thinnest.species_key))
    if spacing.high is not None and shape.sticker_spacing_in > spacing.high:
        words = (
            f"Stickers {quantities.width(shape.sticker_spacing_in)} apart: for "
            f"{quantities.thickness(thinnest.thickness_in)} wood no more than {quantities.width(spacing.high)}."
        )
        yield _from_rule(CAUTION, words, spacing)
    thick = sticker_thickness(
        thickest.thickness_in, green_mc_pct(thickest.species_key), _is_hardwood(thickest.species_key)
    )
    if figures.now is None and thick.low is not None and shape.sticker_in < thick.low:
        words = (
            f"Stickers {quantities.thickness(shape.sticker_in)} thick: for green wood of "
            f"{quantities.thickness(thickest.thickness_in)} at least {quantities.thickness(thick.low)}."
        )
        yield _from_rule(CAUTION, words, thick)


def _overhang(shape: Shape, courses: Sequence[Course]) -> Iterator[StackCaution]:
    wide = [course for course in courses if course.layers == 1 and course.used_in > shape.width_ft * IN_PER_FT + 0.5]
    if wide:
        worst = max(wide, key=lambda course: course.used_in)
        words = f"Course {worst.number} is {quantities.width(worst.used_in)} wide, the stack "
        words += f"{quantities.length_ft(shape.width_ft)}: make it wider or move a piece up."
        yield StackCaution(CAUTION, words, COMMON_PRACTICE)
    long = [slab for course in courses for slab in course.slabs if slab.length_in > shape.length_ft * IN_PER_FT + 6]
    if long:
        longest = max(long, key=lambda slab: slab.length_in)
        words = f"{longest.tag} is {quantities.length_in(longest.length_in)} long and hangs over the last sticker: "
        words += "free ends droop and check."
        yield StackCaution(CAUTION, words, COMMON_PRACTICE)


def _is_hardwood(species_key: str) -> bool:
    return species(species_key).wood_class == "hardwood"

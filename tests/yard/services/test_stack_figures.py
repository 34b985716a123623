"""What a stack comes to, against sums done by hand, and what its building wants."""

from types import SimpleNamespace

import pytest

from yard.models import Slab, SlabKind
from yard.services.courses import courses_filled, courses_taken
from yard.services.stack_cautions import loader_words, stack_cautions
from yard.services.stack_drawing import stack_drawing
from yard.services.stack_figures import courses_of, stack_figures

SHAPE = {
    "sticker_in": 0.75, "sticker_width_in": 1.25, "sticker_spacing_in": 16.0, "width_ft": 4.0, "length_ft": 8.0,
    "top_weight_lb": 0.0,
}  # fmt: skip


def shape(**other):
    return SimpleNamespace(**(SHAPE | other))


def board(width_in=12.0, thickness_in=1.0, length_in=96.0, count=1, **other):
    area = width_in * length_in * count
    chosen = {"kind": SlabKind.LOT if count > 1 else SlabKind.BOARD, "species_key": "oak-white"} | other
    return Slab(
        tag="B", count=count, thickness_in=thickness_in, mean_width_in=width_in, length_in=length_in, area_in2=area,
        green_bf=area * max(1.0, thickness_in) / 144, **chosen,
    )  # fmt: skip


def figures_of(slabs, **other):
    sizes = shape(**other)
    pairs = list(zip(slabs, courses_filled(slabs, sizes.width_ft), strict=True))
    return stack_figures(shape=sizes, pairs=pairs)


def test_five_courses_of_four_inch_boards_by_hand():
    figures = figures_of([board() for _ in range(20)])
    assert (figures.layers, figures.pieces) == (5, 20)
    assert figures.footage_bf == pytest.approx(160.0)  # 20 boards of 8 bf
    assert figures.height_in == pytest.approx(8.0)  # 5 x 1 in + 4 x 3/4 in
    assert (figures.stickers_a_course, figures.stickers) == (7, 28)  # 96 in / 16 in + 1, between 5 courses
    assert figures.open_area_ft2 == pytest.approx(4 * 0.75 * (96 - 7 * 1.25) / 144)
    assert dict(figures.air)[200.0] == pytest.approx(200 * figures.open_area_ft2)
    # white oak: specific gravity 0.60; heartwood 64% of oven-dry weight (Wood Handbook Table 4-1)
    assert figures.green.weight_lb == pytest.approx(160 / 12 * 62.4 * 0.60 * 1.64, rel=0.001)
    assert figures.green.low_lb == pytest.approx(0.85 * figures.green.weight_lb)
    assert figures.now is None


def test_weight_goes_by_the_wood_and_not_by_its_nominal_footage():
    thin, full = figures_of([board(thickness_in=0.75)]), figures_of([board(thickness_in=1.0)])
    assert thin.footage_bf == full.footage_bf  # under an inch counts as an inch
    assert thin.green.weight_lb == pytest.approx(0.75 * full.green.weight_lb)


def test_a_cohort_with_an_estimate_gives_the_weight_of_today():
    wet, dry = (SimpleNamespace(estimate=SimpleNamespace(mean_pct=mc)) for mc in (64.0, 10.0))
    slabs = [board(cohort_id=1), board(cohort_id=2)]
    figures = stack_figures(shape=shape(), pairs=[(slab, 1) for slab in slabs], cohorts={1: wet, 2: dry})
    assert figures.now.weight_lb == pytest.approx(8 / 12 * 62.4 * 0.60 * (1.64 + 1.10), rel=0.001)
    assert figures.working_weight.result == pytest.approx(figures.now.weight_lb)


def test_a_course_is_as_high_as_its_thickest_piece():
    figures = figures_of([board(thickness_in=1.0), board(thickness_in=2.0), board(24.0), board(40.0)])
    assert figures.height_in == pytest.approx(2.0 + 0.75 + 1.0)
    assert figures.working_height.result == pytest.approx(figures.height_in)


@pytest.mark.parametrize(("count", "courses"), [(1, 1), (8, 1), (9, 2), (16, 2), (17, 3)])
def test_a_lot_takes_as_many_courses_as_its_boards_are_wide_together(count, courses):
    lot = board(width_in=6.0, count=count, kind=SlabKind.LOT)
    assert courses_taken(lot, 4.0) == courses
    assert figures_of([lot]).layers == courses


def test_an_empty_stack_and_one_course_have_no_openings_and_say_why():
    assert figures_of([]).footage_bf == 0
    one = figures_of([board()])
    assert one.open_area_ft2 is None
    assert one.air == ()
    assert "only one" in one.why_not


def test_stickers_wider_together_than_the_stack_is_long_are_told_and_not_reckoned():
    figures = figures_of([board(40.0), board(40.0)], sticker_width_in=6.0, sticker_spacing_in=4.0)
    assert figures.open_area_ft2 is None
    assert "stickers" in figures.why_not


@pytest.mark.parametrize(
    ("slabs", "other", "words"),
    [
        ([board(40.0, 10.0)] * 5, {"width_ft": 1.0}, "high on a base"),
        ([board(10, 1.0), board(10, 1.125)], {}, "different thickness"),
        ([board()], {"sticker_spacing_in": 24.0}, "apart"),
        ([board(thickness_in=2.0)], {}, "Stickers 3/4 in thick"),
        ([board(20.0), board(20.0)], {"width_ft": 3.0}, ""),
        ([board(length_in=120.0)], {}, "hangs over"),
    ],
)
def test_what_the_building_wants_is_said_and_what_is_right_is_not(slabs, other, words):
    sizes = shape(**other)
    cautions = stack_cautions(shape=sizes, figures=figures_of(slabs, **other))
    assert all(caution.source for caution in cautions)
    if words:
        assert any(words in caution.words for caution in cautions)
    else:
        assert cautions == []


def test_a_course_wider_than_the_stack_is_told():
    slabs = [board(20.0), board(20.0), board(20.0)]
    figures = stack_figures(shape=shape(), pairs=[(slab, 1) for slab in slabs])
    (caution,) = stack_cautions(shape=shape(), figures=figures)
    assert "Course 1 is 60 in wide" in caution.words


def test_the_gravest_caution_comes_first():
    slabs = [board(10.0, 10.0, length_in=150.0)] * 6
    levels = [one.level for one in stack_cautions(shape=shape(width_ft=1.0), figures=figures_of(slabs, width_ft=1.0))]
    assert levels[0] == "danger"
    assert "caution" in levels


def test_the_lifting_line_gives_the_upper_bound_of_the_weight():
    figures = figures_of([board() for _ in range(20)])
    assert f"may be {round(figures.green.high_lb, -1):,.0f} lb" in loader_words(figures)


@pytest.mark.parametrize(
    "slabs", [[board()], [board() for _ in range(9)], [board(6.0, count=40)], [board(60.0)], [board(30.0, 4.0)] * 3]
)
def test_the_drawing_holds_every_piece_once_inside_its_frame_and_none_over_another(slabs):
    courses = courses_of(zip(slabs, courses_filled(slabs, 4.0), strict=True), 4.0)
    drawing = stack_drawing(shape=shape(), courses=courses)
    boxes = drawing.pieces
    assert len(boxes) >= sum(slab.count for slab in slabs)
    for number, box in enumerate(boxes):
        assert box.x >= 0
        assert box.x + box.width <= drawing.width + 0.01
        assert box.y >= 0
        assert box.y + box.height <= drawing.height
        for other in boxes[:number]:
            over_x = min(box.x + box.width, other.x + other.width) - max(box.x, other.x)
            over_y = min(box.y + box.height, other.y + other.height) - max(box.y, other.y)
            assert over_x < 0.02 or over_y < 0.02


def test_nothing_laid_is_not_drawn():
    assert stack_drawing(shape=shape(), courses=()) is None

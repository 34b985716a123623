"""A stack built course by course, and the advice for building it."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.published_tables import published
from yard.wood import stacking, stacking_rules
from yard.wood.ranges import OutsideRange
from yard.wood.sources import source

thicknesses_in = st.integers(min_value=4, max_value=64).map(lambda parts: parts / 16.0)
stickers_in = st.sampled_from([0.5, 0.75, 1.0, 1.25])


def _built_by_hand(height_in, thickness_in, sticker_in):
    """Lay a board, then a sticker and a board, as long as the next board still fits."""
    laid, top_in = 0, 0.0
    while top_in + (sticker_in if laid else 0.0) + thickness_in <= height_in:
        top_in += (sticker_in if laid else 0.0) + thickness_in
        laid += 1
    return laid, top_in


@given(st.integers(min_value=0, max_value=96 * 4).map(lambda parts: parts / 4.0), thicknesses_in, stickers_in)
def test_courses_are_those_that_fit_when_laid_one_by_one(height_in, thickness_in, sticker_in):
    laid, top_in = _built_by_hand(height_in, thickness_in, sticker_in)
    assert stacking.courses(height_in, thickness_in, sticker_in) == laid
    assert stacking.stack_height_in(laid, thickness_in, sticker_in) == pytest.approx(top_in)


def test_the_package_of_29_courses_worked_by_hand():
    """(54 + 0.75) / 1.875 = 29.2; 29 x 4 x 10 x 0.9 = 1,044; gaps 28 x 0.75 x 112.5 / 144 = 16.41 ft²."""
    assert stacking.courses(54.0, 1.125, 0.75) == 29
    assert stacking.stack_height_in(29, 1.125, 0.75) == 53.625
    footage_bf = stacking.stack_board_feet_bf(
        width_ft=4.0, height_in=54.0, length_ft=10.0, nominal_in=1.0, thickness_in=1.125, sticker_in=0.75, fill=0.9
    )
    assert footage_bf == pytest.approx(1044.0)
    area_ft2 = stacking.open_air_area_ft2(29, 0.75, 10.0, sticker_count=6, sticker_width_in=1.25)
    assert area_ft2 == pytest.approx(28 * 0.75 * 112.5 / 144)
    assert stacking.air_flow_cfm(area_ft2, 250.0) == pytest.approx(4101.6, abs=0.05)


def test_a_height_that_fits_exactly_loses_no_course():
    assert stacking.courses(48.0, 1.125, 0.75) == 26
    assert stacking.courses(26 * 0.1 + 25 * 0.7, 0.1, 0.7) == 26
    assert stacking.courses(1.0, 1.125, 0.75) == 0


def test_thin_stock_in_a_stack_counts_as_an_inch():
    thin_bf = stacking.stack_board_feet_bf(4.0, 20.0, 10.0, 0.75, 0.875, 0.75, 1.0)
    assert thin_bf == stacking.courses(20.0, 0.875, 0.75) * 40.0


@given(st.floats(0.5, 60.0), st.floats(4.0, 60.0))
def test_stickers_stand_at_both_ends_and_no_further_apart_than_asked(length_ft, spacing_in):
    count = stacking.sticker_count(length_ft, spacing_in)
    assert count >= 2
    assert length_ft * 12.0 / (count - 1) <= spacing_in * (1 + 1e-6)
    assume(count > 2)
    assert length_ft * 12.0 / (count - 2) > spacing_in * (1 - 1e-6)


def test_stickers_wider_together_than_the_stack_is_long_are_refused():
    with pytest.raises(OutsideRange, match="length free of stickers"):
        stacking.open_air_area_ft2(10, 0.75, 4.0, sticker_count=50, sticker_width_in=1.5)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0])
def test_what_is_no_stack_is_refused(bad):
    for arguments in ((bad, 1.0, 0.75), (48.0, bad, 0.75), (48.0, 1.0, bad)):
        with pytest.raises(OutsideRange):
            stacking.courses(*arguments)


def test_a_stack_weighed_whole_is_exact_and_one_weighed_in_part_says_how_wide():
    whole = stacking.stack_weight_lb([20.0, 22.0, 24.0], 3)
    assert (whole.low_lb, whole.weight_lb, whole.high_lb) == (66.0, 66.0, 66.0)
    part = stacking.stack_weight_lb([20.0, 22.0, 24.0], 60)
    assert part.weight_lb == pytest.approx(1320.0)
    assert part.low_lb == pytest.approx(1122.0)
    assert part.high_lb == pytest.approx(1518.0)
    assert part.method == "3 of 60 boards weighed"
    assert part.reasons
    with pytest.raises(OutsideRange):
        stacking.stack_weight_lb([], 60)
    with pytest.raises(OutsideRange):
        stacking.stack_weight_lb([20.0, 21.0], 1)


def test_the_wetter_and_thicker_the_wood_the_thicker_its_stickers():
    assert stacking_rules.sticker_thickness(2.125, 80.0).low == 1.0
    assert stacking_rules.sticker_thickness(2.125, 80.0, hardwood=False).low == 0.75
    assert stacking_rules.sticker_thickness(1.0, 22.0).low == 0.5
    assert stacking_rules.sticker_thickness(1.0, 15.0).key == "no-air-stickers-below"


def test_a_stack_taller_than_three_times_its_base_is_cautioned_and_the_caution_says_it_is_a_rule_of_thumb():
    (caution,) = stacking_rules.height_cautions(150.0, 4.0)
    assert caution.provenance == "common practice"
    assert "no source" in caution.source
    assert stacking_rules.height_cautions(144.0, 4.0) == ()


def test_height_limits_by_hand_and_by_machine_are_those_of_the_safety_orders():
    """Read in California title 8 section 1549 (c): 20 ft, and 16 ft where handled by hand."""
    by_hand = [rule.key for rule in stacking_rules.height_cautions(17 * 12.0, 8.0, by_hand=True)]
    by_machine = [rule.key for rule in stacking_rules.height_cautions(17 * 12.0, 8.0, by_hand=False)]
    assert by_hand == ["height-by-hand"]
    assert by_machine == []
    tall = [rule.key for rule in stacking_rules.height_cautions(20.5 * 12.0, 8.0, by_hand=False)]
    assert tall == ["height-by-machine"]


@pytest.mark.parametrize("row", published("stacking_rules.csv"), ids=lambda row: row["rule"])
def test_every_bound_of_a_stacking_rule_is_as_printed(row):
    """Two rows are from memory: sticker spacing 12 to 24 in, foundations 18 in high in the open."""
    rule = stacking_rules.stacking_rule(row["rule"])
    assert (rule.low, rule.high) == tuple(float(row[side]) if row[side] else None for side in ("low", "high"))
    assert (rule.unit, rule.provenance) == (row["unit"], row["provenance"])


def test_every_stacking_rule_names_a_listed_source_and_how_well_it_is_known():
    for rule in stacking_rules.all_stacking_rules():
        assert source(rule.source_key).title
        assert rule.provenance.startswith(("read", "memory", "common practice"))
        assert rule.words

"""Grades and sizes as the published charts print them."""

import pytest

from yard.wood import grades, lumber_sizes
from yard.wood.ranges import OutsideRange
from yard.wood.sources import source


@pytest.mark.parametrize(
    ("key", "least_yield_pct"),
    [("FAS", 83.333), ("F1F", 83.333), ("SEL", 83.333), ("1C", 66.667), ("2AC", 50.0), ("2BC", 50.0), ("3AC", 33.333),
     ("3BC", 25.0)],
)  # fmt: skip
def test_least_yield_of_every_grade_as_the_chart_prints_it(key, least_yield_pct):
    """Export guide's grade chart (read); one reprint has 60-2/3% for No. 1 Common, a misprint."""
    assert grades.grade(key).least_yield * 100.0 == pytest.approx(least_yield_pct, abs=0.0005)


@pytest.mark.parametrize(
    ("key", "surface_ft2", "cuttings"),
    [("FAS", 8, 2), ("FAS", 15, 3), ("FAS", 16, 4), ("FAS", 60, 4), ("1C", 5, 2), ("1C", 8, 3), ("1C", 40, 5),
     ("2AC", 6, 3), ("2AC", 40, 7), ("3AC", 6, None)],
)  # fmt: skip
def test_cuttings_follow_the_chart(key, surface_ft2, cuttings):
    """SM/4 to four, (SM + 1)/3 to five, SM/2 to seven."""
    assert grades.cuttings_allowed(key, surface_ft2) == cuttings


def test_a_board_of_no_surface_is_refused():
    with pytest.raises(OutsideRange):
        grades.cuttings_allowed("FAS", 0)
    with pytest.raises(KeyError, match=r"nhla_grades\.csv"):
        grades.grade("AAA")


def test_softwood_sizes_keep_the_order_that_seasoning_and_surfacing_make():
    """Nothing is lost in copying: rough over surfaced, green over dry, nominal over all but the widest rough green."""
    for row in lumber_sizes.softwood_sizes():
        assert row.surfaced_dry_in < row.surfaced_green_in <= row.nominal_in
        if row.rough_dry_in is not None:
            assert row.surfaced_dry_in < row.rough_dry_in < row.rough_green_in <= row.nominal_in
        assert source(row.source_key).title


@pytest.mark.parametrize(
    ("dimension", "nominal_in", "dry_in", "green_in", "rough_dry_in", "rough_green_in"),
    [("thickness", 2.0, 1.5, 1.5625, 1.625, 1.6875), ("thickness", 4.0, 3.5, 3.5625, 3.625, 3.8125),
     ("width", 6.0, 5.5, 5.625, 5.625, 5.875), ("width", 12.0, 11.25, 11.5, 11.375, 11.875)],
)  # fmt: skip
def test_softwood_sizes_as_tennessee_prints_them(dimension, nominal_in, dry_in, green_in, rough_dry_in, rough_green_in):
    row = lumber_sizes.softwood_size(dimension, nominal_in)
    assert (row.surfaced_dry_in, row.surfaced_green_in) == (dry_in, green_in)
    assert (row.rough_dry_in, row.rough_green_in) == (rough_dry_in, rough_green_in)


def test_a_size_that_is_not_in_the_table_is_refused():
    with pytest.raises(OutsideRange, match="Only the table's sizes are known"):
        lumber_sizes.softwood_size("thickness", 7.0)


def test_every_standard_thickness_sawn_to_its_target_makes_its_own_name():
    for row in lumber_sizes.hardwood_thicknesses():
        assert lumber_sizes.quarters_from_sawn(row.saw_to_low_in) == row.quarters
        assert lumber_sizes.quarters_from_sawn(row.kiln_dried_min_in, kiln_dried=True) == row.quarters
        assert source(row.source_key).title


def test_a_thickness_beyond_the_table_is_left_to_the_sawyer():
    for sawn_in in (0.2, 6.5):
        with pytest.raises(OutsideRange, match="Give the nominal thickness yourself"):
            lumber_sizes.nominal_from_sawn_in(sawn_in)

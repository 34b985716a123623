"""Grades and sizes as the published charts print them."""

import pytest

from tests.published_tables import published
from yard.wood import grades, lumber_sizes
from yard.wood.ranges import OutsideRange
from yard.wood.sources import source


@pytest.mark.parametrize("row", published("nhla_grades.csv"), ids=lambda row: row["grade"])
def test_every_figure_of_every_grade_is_the_charts(row):
    """Export guide's grade chart (read); one reprint has 60-2/3% for No. 1 Common, a misprint."""
    ours = grades.grade(row["grade"])
    assert ours.least_yield * 100.0 == pytest.approx(float(row["least_yield_pct"]), abs=0.0005)
    for figure in row.keys() - {"grade", "least_yield_pct", "source", "provenance"}:
        assert getattr(ours, figure) == (float(row[figure]) if row[figure] else None), figure


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


@pytest.mark.parametrize("row", published("softwood_sizes.csv"), ids=lambda r: f"{r['dimension']} {r['nominal_in']}")
def test_every_softwood_size_is_as_printed(row):
    """19 sizes as Tennessee prints them (read); three boards under 2 in from PS 20, from memory."""
    ours = lumber_sizes.softwood_size(row["dimension"], float(row["nominal_in"]))
    for figure in ("surfaced_dry_in", "surfaced_green_in", "rough_dry_in", "rough_green_in"):
        assert getattr(ours, figure) == (float(row[figure]) if row[figure] else None), figure


@pytest.mark.parametrize(
    "row", published("hardwood_thickness.csv"), ids=lambda r: f"{r['quarters']} {r['figure']}"
)  # fmt: skip
def test_the_hardwood_thicknesses_that_were_read(row):
    (ours,) = (one for one in lumber_sizes.hardwood_thicknesses() if one.quarters == row["quarters"])
    assert getattr(ours, row["figure"]) == float(row["value_in"])
    provenance = "kiln_dried_provenance" if row["figure"].startswith("kiln") else "saw_to_provenance"
    assert getattr(ours, provenance).startswith("read")


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

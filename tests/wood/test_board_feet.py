"""Footage of boards and slabs: round trips, limits, and the trade's rounding from board to board."""

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import simpson, trapezoid

from yard.wood import board_feet, tallies
from yard.wood.quarters import counted_thickness_in, quarters_text
from yard.wood.ranges import OutsideRange
from yard.wood.slab_widths import width_bases, width_summary
from yard.wood.sources import source
from yard.wood.typed_numbers import CannotRead

EXAMPLE_IN = (18.0, 16.5, 15.0, 16.0, 19.0)
widths = st.lists(st.floats(min_value=0.0, max_value=200.0), min_size=3, max_size=15)
eighths_in = st.integers(min_value=1, max_value=400).map(lambda parts: parts / 8.0)


def test_the_slab_of_five_widths_has_the_area_worked_by_hand():
    """24 x (9 + 16.5 + 15 + 16 + 9.5) = 1,584; Simpson: 8 x (18 + 66 + 30 + 64 + 19) = 1,576."""
    assert board_feet.slab_area_in2(EXAMPLE_IN, 96.0) == 1584.0
    assert board_feet.slab_area_in2(EXAMPLE_IN, 96.0, rule="simpson") == 1576.0
    assert board_feet.slab_board_feet_bf(EXAMPLE_IN, 96.0, 2.0) == 22.0
    assert board_feet.slab_board_feet_bf(EXAMPLE_IN, 96.0, 2.0, rule="simpson") == pytest.approx(21.889, abs=5e-4)


@given(widths, st.floats(min_value=1.0, max_value=300.0))
def test_slab_area_agrees_with_scipy(widths_in, length_in):
    step_in = length_in / (len(widths_in) - 1)
    expected = trapezoid(widths_in, dx=step_in)
    assert board_feet.slab_area_in2(widths_in, length_in) == pytest.approx(expected, rel=1e-9, abs=1e-9)
    if board_feet.simpson_offered(len(widths_in)):
        expected = simpson(widths_in, dx=step_in)
        assert board_feet.slab_area_in2(widths_in, length_in, "simpson") == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_simpson_is_refused_for_an_even_number_of_widths():
    with pytest.raises(OutsideRange, match="needs an odd number of widths, not 4"):
        board_feet.slab_area_in2([18.0, 17.0, 16.0, 15.0], 96.0, rule="simpson")


@pytest.mark.parametrize(
    ("widths_in", "length_in"),
    [([18.0, 17.0], 96.0), ([18.0, -1.0, 17.0], 96.0), ([18.0, math.nan, 17.0], 96.0), ([1.0, 1.0, 1.0], 0.0)],
)
def test_a_slab_that_cannot_be_is_refused(widths_in, length_in):
    with pytest.raises(OutsideRange):
        board_feet.slab_area_in2(widths_in, length_in)


@given(eighths_in, st.floats(min_value=1.0, max_value=200.0))
def test_a_slab_of_even_width_has_the_footage_of_a_board(width_in, length_in):
    for rule in ("trapezoid", "simpson"):
        slab_bf = board_feet.slab_board_feet_bf([width_in] * 5, length_in, 2.0, rule)
        assert slab_bf == pytest.approx(board_feet.board_feet_bf(2.0, width_in, length_in / 12.0), rel=1e-12)


@pytest.mark.parametrize("thickness_in", [0.375, 0.75, 0.9375, 1.0])
def test_thin_stock_counts_as_an_inch(thickness_in):
    assert board_feet.board_feet_bf(thickness_in, 6.0, 8.0) == 4.0
    assert counted_thickness_in(thickness_in) == 1.0
    assert board_feet.volume_bf(thickness_in, 6.0, 8.0) == 4.0 * thickness_in


@given(eighths_in, st.integers(min_value=1, max_value=20))
def test_surface_measure_is_the_nearest_whole_foot_by_exact_arithmetic(width_in, length_ft):
    exact = Fraction(width_in) * length_ft / 12
    assert board_feet.surface_measure_ft2(width_in, length_ft) == math.floor(exact + Fraction(1, 2))
    assert board_feet.surface_measure_ft2(width_in, length_ft, half="down") == math.ceil(exact - Fraction(1, 2))


def test_surface_measure_drops_a_part_of_a_foot_but_not_a_hair_of_a_millimetre():
    assert board_feet.surface_measure_ft2(12.0, 8.96) == 8
    assert board_feet.surface_measure_ft2(12.0, 2.4384 / 0.3048) == 8


@given(st.lists(st.tuples(eighths_in, st.integers(min_value=4, max_value=16)), max_size=40))
def test_a_tally_stays_within_half_a_foot_a_board_and_its_halves_even_out(boards):
    measures = board_feet.tally_surface_measures_ft2(boards)
    errors = [Fraction(m) - Fraction(w) * length / 12 for m, (w, length) in zip(measures, boards, strict=True)]
    assert all(abs(error) <= Fraction(1, 2) for error in errors)
    halves = [error for error in errors if abs(error) == Fraction(1, 2)]
    assert halves == [Fraction(1, 2) * (-1) ** turn for turn in range(len(halves))]


def test_a_tally_is_multiplied_by_thickness_once():
    """Three boards of 4-1/2 ft² exact: 5 + 4 + 5 = 14, then x 1-1/4; not board by board."""
    boards = [(6.75, 8.0)] * 3
    assert board_feet.tally_surface_measures_ft2(boards) == (5, 4, 5)
    assert board_feet.tally_board_feet_bf(boards, 1.25) == 17.5


@pytest.mark.parametrize("name", ["board_feet_bf", "volume_bf"])
@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0, 1e9])
def test_what_is_no_size_is_refused(name, bad):
    function = getattr(board_feet, name)
    for arguments in ((bad, 6.0, 8.0), (1.0, bad, 8.0), (1.0, 6.0, bad)):
        with pytest.raises(OutsideRange):
            function(*arguments)


def test_a_taper_board_counts_a_third_up_from_its_narrow_end():
    """From memory of the rule book's general instructions: check against it."""
    assert board_feet.taper_board_width_in(6.0, 9.0) == 7.0
    with pytest.raises(OutsideRange):
        board_feet.taper_board_width_in(9.0, 6.0)


@given(st.floats(min_value=0.0, max_value=1e6), st.floats(min_value=0.0, max_value=20.0))
def test_net_and_gross_footage_are_each_others_reverse(footage_bf, loss_pct):
    net_bf = tallies.net_from_gross_bf(footage_bf, loss_pct)
    assert net_bf <= footage_bf
    assert tallies.gross_from_net_bf(net_bf, loss_pct) == pytest.approx(footage_bf, rel=1e-12, abs=1e-9)


def test_dry_wood_is_priced_on_its_net_tally_and_the_invoice_says_so_otherwise():
    measured = tallies.Tally(1000.0, 925.0)
    assert measured.for_sale(dry=True).footage_bf == 925.0
    assert measured.for_sale(dry=False).footage_bf == 1000.0
    assert "prior to kiln drying" in tallies.Tally(1000.0).for_sale(dry=True).words
    for sale in (measured.for_sale(True), measured.for_sale(False), tallies.Tally(1.0).for_sale(True)):
        assert source(sale.source_key).provenance == "read"


def test_a_thickness_without_a_name_in_quarters_says_so():
    with pytest.raises(CannotRead, match=r"2\.125 in has no name in quarters"):
        quarters_text(2.125)
    assert [quarters_text(t) for t in (0.375, 0.5, 0.625, 0.75, 1.0, 2.5)] == [
        "3/8",
        "1/2",
        "5/8",
        "3/4",
        "4/4",
        "10/4",
    ]


def test_every_width_basis_names_a_source_that_is_listed():
    for basis in width_bases():
        assert source(basis.source_key).title
    assert width_bases()[0].provenance == "common practice"
    assert width_summary(EXAMPLE_IN).mean_in == pytest.approx(16.9)


@given(st.floats(0.1, 40.0), st.floats(1.0, 400.0), st.integers(1, 20))
def test_oversize_is_one_for_wood_that_measures_what_it_is_counted(thickness_in, length_in, counted_ft):
    assume(thickness_in >= 1.0)
    factor = board_feet.oversize_factor(thickness_in, thickness_in, counted_ft * 12.0, counted_ft)
    assert factor == pytest.approx(1.0)
    longer = board_feet.oversize_factor(thickness_in, thickness_in, length_in + counted_ft * 12.0, counted_ft)
    assert longer > factor

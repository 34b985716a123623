"""Footage by hand and by published examples: gross, net, rounding, board tallies."""

from decimal import Decimal

import pytest

from sales.services.footage import rounded_bf, slab_footage
from tests.make import make_slab
from tests.sales.make import make_dry_slab
from yard.wood.board_feet import board_feet_bf, tally_board_feet_bf

TENTH = {"rounding": "tenth", "mc_pct": 8.0}


@pytest.mark.parametrize(
    ("thickness_in", "width_in", "length_ft", "printed"), [(2, 4, 7, "4.7"), (2, 10, 7, "11.7"), (2, 6, 8, "8.0")]
)
def test_footage_to_a_tenth_is_that_of_the_printed_tally(thickness_in, width_in, length_ft, printed):
    """The first two cells are printed in TN-0080-07-07, table 3; the third is 2 x 6 x 8 / 12 by hand."""
    assert rounded_bf(board_feet_bf(thickness_in, width_in, length_ft), "tenth") == Decimal(printed)


def test_surface_measure_is_totalled_before_thickness_is_counted():
    """NHLA-RULES paragraph 18: 6-1/4 in x 8 ft is 4-1/6, counted 4; of 8/4 it is 8 bf, not 8.3.

    Ten such boards are 40 ft² and 80 bf; rounding the footage of each to the tenth would give 83.
    """
    boards = [(6.25, 8.0)] * 10
    assert rounded_bf(tally_board_feet_bf(boards, 2.0), "whole") == Decimal(80)
    assert sum(rounded_bf(board_feet_bf(2.0, *board), "tenth") for board in boards) == Decimal("83.0")


def test_only_the_result_is_rounded_halves_up():
    assert rounded_bf(22.25, "tenth") == Decimal("22.3")
    assert rounded_bf(0.1 + 0.2 + 21.95, "tenth") == Decimal("22.3")  # the sum is a hair off 22.25
    assert rounded_bf(22.4999, "whole") == Decimal(22)


def test_gross_is_the_green_tally_of_the_slab(yard):
    """Widths 18, 16.5, 15, 16, 19 at 24 in: 24 x (18.5 + 47.5) = 1584 in², of 8/4 is 22 bf."""
    got = slab_footage(make_slab(), basis="gross", **TENTH)
    assert (got.bf, got.how) == (Decimal("22.0"), "gross, as sawn")


def test_net_is_what_was_measured_dry(yard):
    """Dry widths of 15 in all along and 8 ft of 8/4: 2 x 15 x 8 / 12 = 20 bf."""
    slab = make_dry_slab(dry_widths_in=[15.0, 15.0, 15.0], dry_length_in=96.0)
    got = slab_footage(slab, basis="net", **TENTH)
    assert (got.bf, got.how) == (Decimal("20.0"), "net, measured dry")


def test_net_of_dry_wood_by_shrinkage_is_within_what_the_trade_loses(yard):
    """Northern red oak shrinks 8.6% tangentially green to oven-dry (Wood Handbook); at 8% of 30% that is 6.3% of the
    width: 22 bf x 0.937 = 20.6 bf. The trade loses 3 to 8% from green to dry."""
    got = slab_footage(make_dry_slab(mc_pct=8.0), basis="net", **TENTH)
    assert got.bf == Decimal("20.6")
    assert got.how == "net, by shrinkage to 8%"


def test_net_of_wood_that_is_not_dry_yet_says_that_it_is_expected(yard):
    got = slab_footage(make_slab(), basis="net", **TENTH)
    assert (got.bf, got.how) == (Decimal("20.6"), "net, expected at 8%")

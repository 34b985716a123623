"""Kiln samples: the worked board of the handbook, the wettest half, the safe rate."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.samples import KilnSample, controlling_mc_pct, drying_rate, read_samples, wettest_half
from yard.wood.ranges import OutsideRange

MCS = st.lists(st.floats(0, 400), min_size=1, max_size=20)


def test_the_worked_board_of_the_handbook():
    """AH-188 ch. 6, from memory (medium): 4.46 lb at 92.4% that now weighs 4.14 lb is at 78.4%; the book rounds the
    oven-dry weight to 2.32 lb first, which is worth 0.2 points."""
    assert KilnSample("A", 4.46, (93.4, 91.4), 4.14).mc_pct == pytest.approx(78.4, abs=0.25)


@pytest.mark.parametrize(("count", "wet"), [(1, 1), (2, 1), (3, 2), (4, 2), (5, 3), (12, 6)])
def test_the_wettest_half_of_an_odd_number_is_the_larger_half(count, wet):
    assert len(wettest_half([float(one) for one in range(count)])) == wet


@settings(deadline=None)
@given(MCS)
def test_the_deciding_moisture_lies_between_mean_and_wettest(mcs):
    assert sum(mcs) / len(mcs) - 1e-6 <= controlling_mc_pct(mcs) <= max(mcs) + 1e-6


@settings(deadline=None)
@given(MCS)
def test_the_order_of_the_samples_does_not_matter(mcs):
    assert controlling_mc_pct(mcs) == pytest.approx(controlling_mc_pct(mcs[::-1]))


def test_no_sample_and_an_impossible_one_are_refused():
    with pytest.raises(OutsideRange, match="at least one"):
        controlling_mc_pct([])
    with pytest.raises(OutsideRange, match="sample moisture"):
        controlling_mc_pct([20.0, -1.0])
    with pytest.raises(OutsideRange, match="sample moisture"):
        controlling_mc_pct([float("nan")])


def test_few_samples_are_said_to_be_few():
    assert read_samples([30.0, 20.0, 25.0]).notes
    assert not read_samples([30.0, 20.0, 25.0, 22.0]).notes


def test_red_oak_at_four_percent_a_day_is_too_fast():
    """The published limit is 3.8% a day (read)."""
    fast, slow = drying_rate("oak-northern-red", 1, 54, 50, 1), drying_rate("oak-northern-red", 1, 53.7, 50, 1)
    assert (fast.too_fast, slow.too_fast) == (True, False)
    assert fast.share == pytest.approx(4 / 3.8)

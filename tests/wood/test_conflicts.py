"""Which records disagree with all others, and how a scatter among them widens what is believed."""

from datetime import date

import numpy as np
import pytest

from yard.wood.conflicts import find_conflicts, widening
from yard.wood.observations import OvenSection

START = date(2025, 4, 1)


@pytest.mark.parametrize(("mc_pct", "named"), [(45.9, False), (46.1, True), (34.1, False), (33.9, True)])
def test_a_record_is_named_when_it_lies_over_three_of_its_spreads_off(mc_pct, named):
    """Boards all at 40%, a section with its spread of 2%: the line lies at 34 and 46%."""
    cut, members = [OvenSection(START, mc_pct)], np.array([40.0, 40.0])
    assert bool(find_conflicts(cut, [members], np.zeros((1, 2)), np.zeros(2))) is named


@pytest.mark.parametrize("count", [6, 12])
def test_the_widening_grows_with_the_scatter_without_a_step(count):
    """None while the scatter is as stated; never more than the scatter itself; the smallest change moves it little."""
    cut, members = [OvenSection(START, 40.0) for n in range(count)], np.array([40.0, 40.0])
    turns = np.where(np.arange(count) % 2, 1.0, -1.0)

    def widened(times):
        shown = [members + turn * times * 2.0 * 0.6745 for turn in turns]
        return widening(cut, shown, np.zeros((count, 2)), np.zeros(2))

    grid_ = np.linspace(0.1, 6.0, 60)
    found = np.array([widened(times) for times in grid_])
    assert (found[grid_ <= 1.0] == 1.0).all()
    assert (found <= np.maximum(grid_, 1.0) + 1e-9).all()
    assert (np.diff(found) >= 0).all()
    assert np.diff(found).max() < 0.1
    assert found[-1] > 3.0

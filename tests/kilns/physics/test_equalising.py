"""The end of a charge: every row of the table (from memory), the rules that were read, the prongs."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.equalising import (
    condition_emc_pct,
    conditioning_time,
    end_advice,
    end_treatment,
    equalise_emc_pct,
    final_evenness,
    prong_test,
)
from tests.published_tables import published
from yard.wood.ranges import OutsideRange


@pytest.mark.parametrize("row", published("kiln_equalising.csv"), ids=lambda row: row["target"])
def test_every_row_of_the_equalising_table(row):
    found = end_treatment(float(row["target"]))
    assert found.start_when_driest_pct == float(row["start_driest"])
    assert found.equalise_emc_pct == float(row["equalise_emc"])
    assert found.stop_when_wettest_pct == float(row["stop_wettest"])
    assert found.condition_emc_pct == float(row["condition_hardwood"])
    assert end_treatment(float(row["target"]), "softwood").condition_emc_pct == float(row["condition_softwood"])
    assert found.provenance.startswith("memory")


@settings(deadline=None)
@given(st.floats(5, 11))
def test_between_the_rows_the_rule_of_two_points_holds(target):
    """Driest 2 points under the target, EMC the same, wettest at the target (WENGERT-OAK step 6C, read)."""
    found = end_treatment(target)
    assert found.start_when_driest_pct == pytest.approx(target - 2)
    assert found.equalise_emc_pct == pytest.approx(target - 2)
    assert found.stop_when_wettest_pct == pytest.approx(target)
    assert condition_emc_pct(target) - target == pytest.approx(4)
    assert condition_emc_pct(target, "softwood") - target == pytest.approx(3)


def test_low_grade_goes_three_points_under():
    assert equalise_emc_pct(8, low_grade=True) == 5
    assert end_treatment(8, low_grade=True).stop_when_wettest_pct == 8


@pytest.mark.parametrize("target", [4.9, 11.1, float("nan")])
def test_targets_that_the_table_leaves_out_are_refused(target):
    with pytest.raises(OutsideRange, match="final moisture content"):
        end_treatment(target)


def test_a_charge_goes_from_drying_over_equalising_to_even():
    treatment = end_treatment(8)
    assert end_advice([12, 9, 7], treatment).state == "keep drying"
    assert end_advice([12, 9, 6], treatment).state == "equalise"
    assert end_advice([9, 7, 6.5], treatment, equalising=True).state == "equalise"
    assert end_advice([8, 7, 6.5], treatment, equalising=True).state == "even: condition or cool"


def test_prongs_within_an_eighth_are_straight():
    assert [prong_test(one).state for one in (0.125, -0.125, 0.13, -0.13)] == [
        "free of stress", "free of stress", "casehardened", "over-conditioned",
    ]  # fmt: skip
    assert "even moisture" in prong_test(0.3).caution


def test_conditioning_takes_longer_for_thicker_wood_and_is_refused_beyond_the_table():
    assert conditioning_time(1).high_h < conditioning_time(2).low_h
    with pytest.raises(OutsideRange, match="thickness"):
        conditioning_time(3)


def test_a_point_either_way_is_even_and_more_is_not():
    assert final_evenness([7.0, 9.0]).even
    assert not final_evenness([7.0, 9.1]).even
    assert not final_evenness([8.0], 6.0, 8.5).even
    assert final_evenness([8.0]).gradient_pct is None

"""Log scale between the printed cells: it grows with the log, refuses what no rule covers, nets defects off."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from yard.wood import log_defects, log_rules
from yard.wood.ranges import OutsideRange

diameters_in = st.floats(min_value=6.0, max_value=60.0)
lengths_ft = st.floats(min_value=4.0, max_value=20.0)


def test_a_12_inch_16_foot_log_shows_64_doyle_and_95_international():
    assert log_rules.doyle_bf(diameter_in=12.0, length_ft=16.0) == 64.0
    assert log_rules.international_quarter_inch_bf(diameter_in=12.0, length_ft=16.0) == 95.0
    assert log_rules.scribner_decimal_c_bf(diameter_in=12.0, length_ft=16.0) == 80.0


@pytest.mark.parametrize("rule", sorted(log_rules.LOG_RULES))
@given(diameter_in=diameters_in, length_ft=lengths_ft)
def test_a_thicker_log_never_scales_less(rule, diameter_in, length_ft):
    thicker_bf = log_rules.log_scale_bf(rule, diameter_in + 1.0, length_ft)
    assert thicker_bf >= log_rules.log_scale_bf(rule, diameter_in, length_ft) >= 0.0


@pytest.mark.parametrize("rule", ["doyle", "scribner", "international-quarter-inch"])
@given(diameter_in=diameters_in, length_ft=lengths_ft)
def test_a_longer_log_never_scales_less(rule, diameter_in, length_ft):
    longer_bf = log_rules.log_scale_bf(rule, diameter_in, length_ft + 1.0)
    assert longer_bf >= log_rules.log_scale_bf(rule, diameter_in, length_ft)


@pytest.mark.parametrize("rule", sorted(log_rules.LOG_RULES))
@pytest.mark.parametrize(
    ("diameter_in", "length_ft"),
    [(math.nan, 8.0), (12.0, math.nan), (0.2, 8.0), (-12.0, 8.0), (500.0, 8.0), (12.0, 0.0), (12.0, 100.0)],
)
def test_a_log_that_no_rule_covers_is_refused(rule, diameter_in, length_ft):
    with pytest.raises(OutsideRange):
        log_rules.log_scale_bf(rule, diameter_in, length_ft)


def test_doyle_refuses_logs_under_four_inches_where_its_square_turns_round():
    with pytest.raises(OutsideRange, match="outside 4 to 120 in"):
        log_rules.doyle_bf(2.0, 16.0)


@given(st.floats(min_value=1.0, max_value=120.0))
def test_the_scaling_diameter_is_the_nearest_inch_and_a_half_goes_down(diameter_in):
    whole_in = log_rules.scaling_diameter_in(diameter_in)
    assert -0.5 - 1e-6 <= whole_in - diameter_in <= 0.5 + 1e-6
    assert log_rules.scaling_diameter_in(math.floor(diameter_in) + 0.5) == math.floor(diameter_in)


def test_the_decimal_c_factor_changes_at_16_and_at_32_feet():
    """8 in: 1.501 a foot, from 16 ft 1.854, from 32 ft 2.2 (federal library); to the nearest ten, a five up."""
    cells = {15: 22.515, 16: 29.664, 31: 57.474, 32: 70.4}
    for length_ft, exact_bf in cells.items():
        assert log_rules.scribner_decimal_c_bf(8.0, length_ft) == 10 * math.floor(exact_bf / 10 + 0.5)


def test_every_decimal_c_cell_is_a_whole_ten_and_not_below_nothing():
    for diameter_in in range(1, 121):
        for length_ft in range(1, 41):
            scale_bf = log_rules.scribner_decimal_c_bf(diameter_in, length_ft)
            assert scale_bf >= 0.0
            assert scale_bf % 10.0 == 0.0


def test_a_length_in_metres_that_is_a_whole_foot_loses_nothing():
    length_ft = 4.8768 / 0.3048
    assert log_rules.scribner_decimal_c_bf(12.0, length_ft) == log_rules.scribner_decimal_c_bf(12.0, 16.0)
    assert log_rules.international_quarter_inch_bf(12.0, length_ft) == 95.0


@given(st.floats(6.0, 40.0), st.floats(0.0, 10.0), st.floats(4.0, 20.0))
def test_newton_is_exact_for_a_cone_and_smalian_for_a_paraboloid(small_in, taper_in, length_ft):
    large_in = small_in + taper_in

    def volume_ft3(diameter_at):
        return quad(lambda x_ft: math.pi / 576.0 * diameter_at(x_ft / length_ft) ** 2, 0.0, length_ft)[0]

    cone = volume_ft3(lambda part: small_in + taper_in * part)
    found = log_rules.newton_ft3(small_in, small_in + taper_in / 2.0, large_in, length_ft)
    assert found == pytest.approx(cone, rel=1e-9)
    paraboloid = volume_ft3(lambda part: math.sqrt(small_in**2 + (large_in**2 - small_in**2) * part))
    assert log_rules.smalian_ft3(small_in, large_in, length_ft) == pytest.approx(paraboloid, rel=1e-9)
    middle_in = math.sqrt((small_in**2 + large_in**2) / 2.0)
    assert log_rules.huber_ft3(middle_in, length_ft) == pytest.approx(paraboloid, rel=1e-9)


def test_smalian_with_the_printed_constant():
    """0.0027271 (D² + d²) L is how the constant is printed; the exact one differs in its fifth figure."""
    assert log_rules.smalian_ft3(20.0, 22.0, 10.0) == pytest.approx(0.0027271 * (400 + 484) * 10, rel=2e-5)
    with pytest.raises(OutsideRange, match="The small end comes first"):
        log_rules.smalian_ft3(22.0, 20.0, 10.0)


def test_cubic_scale_of_a_japanese_standard_log_by_hand():
    """24 x 24 x 4 / 10,000; from 6 m: (24 + (7 - 4) / 2)² x 7.5 / 10,000."""
    assert log_defects.jas_m3(25.9, 4.0) == pytest.approx(0.2304)
    assert log_defects.jas_m3(24.0, 7.5) == pytest.approx(25.5**2 * 7.5 / 10_000)
    assert log_defects.jas_m3(13.9, 4.0) == pytest.approx(13**2 * 4 / 10_000)


@given(st.floats(min_value=1.0, max_value=60.0))
def test_a_long_log_is_parted_into_lengths_that_add_up(length_ft):
    pieces = log_defects.scaling_lengths_ft(length_ft)
    assert math.fsum(pieces) == pytest.approx(length_ft)
    assert len(pieces) == (1 if length_ft < 18 else 2 if length_ft < 34 else 3)
    assert all(piece % 2.0 == 0.0 for piece in pieces[:-1])
    assert max(pieces) - min(pieces) <= 2.0


@given(st.floats(0.0, 1000.0), st.floats(0.0, 2000.0), st.floats(0.0, 100.0))
def test_the_net_scale_lies_between_nothing_and_the_gross(gross_bf, lost_bf, lost_pct):
    net_bf = log_defects.net_scale_bf(gross_bf, lost_bf, lost_pct)
    assert 0.0 <= net_bf <= gross_bf


@pytest.mark.parametrize("rule", sorted(log_rules.LOG_RULES))
@given(lost_ft=st.floats(0.0, 16.0), lost_in=st.floats(0.0, 20.0))
def test_a_deduction_never_exceeds_the_log(rule, lost_ft, lost_in):
    gross_bf = log_rules.log_scale_bf(rule, 20.0, 16.0)
    assert 0.0 <= log_defects.length_deduction_bf(rule, 20.0, 16.0, lost_ft) <= gross_bf
    assert 0.0 <= log_defects.diameter_deduction_bf(rule, 20.0, 16.0, lost_in) <= gross_bf
    assert log_defects.length_deduction_bf(rule, 20.0, 16.0, 16.0) == gross_bf


def test_a_defect_boxed_in_is_the_box_less_a_fifth_for_sawdust():
    """The divisor 15 is from memory of the scaling handbook: check against it. 15 = 12 / 0.8."""
    box_bf = 6.0 * 5.0 * 8.0 / 12.0
    assert log_defects.squared_defect_bf(6.0, 5.0, 8.0) == pytest.approx(0.8 * box_bf)


def test_a_deduction_is_rounded_to_the_whole_foot_a_half_up():
    """Scaling handbook section 21: a half or more goes up, less goes down."""
    assert log_defects.net_scale_bf(100.0, lost_bf=12.5) == 87.0
    assert log_defects.net_scale_bf(100.0, lost_bf=12.4) == 88.0

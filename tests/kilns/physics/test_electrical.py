"""The 80% rule as a caution that defers to code and electrician."""

import pytest

from kilns.physics.electrical import cautions, circuit_load, continuous_limit_a
from yard.wood.ranges import OutsideRange


def test_125_percent_of_the_load_and_80_percent_of_the_breaker_are_one_rule():
    for breaker in (15, 20, 30, 50):
        assert continuous_limit_a(breaker) * 1.25 == pytest.approx(breaker)


def test_exactly_80_percent_is_within_and_a_watt_more_is_over():
    assert not circuit_load(20, 120, [1000, 920]).over
    assert circuit_load(20, 120, [1000, 921]).over


def test_two_heaters_of_1500_watts_do_not_go_on_one_common_circuit():
    assert circuit_load(20, 120, [1500, 1500]).over
    assert not circuit_load(20, 240, [1500, 1500]).over


def test_every_answer_carries_the_caution_that_defers():
    text = circuit_load(20, 120, [1500]).caution
    assert "licensed electrician" in text
    assert "code" in text
    assert all(one.text and one.source_key and one.provenance for one in cautions())


@pytest.mark.parametrize(
    ("breaker", "volts", "load"), [(0, 120, 100), (20, 12, 100), (20, 120, -1), (20, 120, float("nan"))]
)
def test_figures_that_no_circuit_has_are_refused(breaker, volts, load):
    with pytest.raises(OutsideRange):
        circuit_load(breaker, volts, [load])

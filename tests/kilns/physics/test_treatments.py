"""Heat treatments as published."""

import pytest

from kilns.physics.heating import CORE_F
from kilns.physics.treatments import NOT_A_CERTIFICATE, heat_treatment, heat_treatments


def test_the_usual_treatment_is_133_degrees_for_half_an_hour():
    """56 °C (132.8 °F), taken as 133 °F (ISPM 15, read)."""
    usual = heat_treatment("ispm-15")
    assert (usual.core_f, usual.hold_min) == (CORE_F, 30)
    assert usual.core_f >= 56 * 1.8 + 32


@pytest.mark.parametrize(
    ("key", "celsius", "minutes"),
    [("emerald-ash-borer-canada", 71, 1200), ("firewood-canada", 60, 60), ("firewood-usa", 60, 60)],
)
def test_other_treatments_are_no_cooler_or_shorter_than_published(key, celsius, minutes):
    found = heat_treatment(key)
    assert found.core_f >= celsius * 1.8 + 32
    assert found.hold_min == minutes


def test_every_treatment_has_its_source_and_an_unknown_one_is_named():
    assert len({one.key for one in heat_treatments()}) == len(heat_treatments()) == 8
    assert all(one.source_key and one.provenance for one in heat_treatments())
    with pytest.raises(KeyError, match="ispm-15"):
        heat_treatment("sunshine")


def test_the_record_says_that_it_is_no_certificate():
    assert "not a phytosanitary certificate" in NOT_A_CERTIFICATE

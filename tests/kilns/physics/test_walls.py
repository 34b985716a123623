"""Walls: R and limits as published, temperatures between the layers, the barrier's side."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilns.physics.walls import (
    Layer,
    Surface,
    barrier_advice,
    layer,
    layer_temperatures,
    layers_over_limit,
    material,
    materials,
)
from yard.wood.ranges import OutsideRange


def test_published_sheets_and_boards_have_their_r():
    """Public tables and energy articles (read)."""
    assert (layer("twin-wall-6").r_low, layer("twin-wall-6").r_high) == (1.54, 1.60)
    assert layer("single-glass").r_value == 0.95
    assert layer("xps", 2).r_value == 10.0
    assert layer("plywood", 0.75).r_value == pytest.approx(0.93)


def test_polystyrene_stands_165_and_no_more():
    """ASTM C578 scope (read)."""
    wall = Surface("wall", 100, (layer("eps", 3),))
    assert layers_over_limit((wall,), 165, 60) == ()
    assert layers_over_limit((wall,), 190, 60)[0].over_f > 0


def test_foam_behind_other_insulation_stays_cooler_than_the_kiln():
    bare = Surface("wall", 100, (layer("xps", 2), layer("rock-wool", 4)))
    behind = Surface("wall", 100, (layer("rock-wool", 4), layer("xps", 2)))
    assert layers_over_limit((bare,), 180, 40)
    assert layers_over_limit((behind,), 180, 40) == ()


def test_every_material_has_a_source_and_a_sensible_r():
    assert len(materials()) == 19
    for one in materials():
        assert 0 < one.r_low <= one.r_high < 10
        assert one.source_key
        assert one.provenance
    with pytest.raises(KeyError, match="eps"):
        material("straw")


@settings(deadline=None)
@given(st.lists(st.floats(0.1, 20), min_size=1, max_size=6), st.floats(60, 200), st.floats(-40, 60))
def test_layers_cool_from_inside_to_outside(rs, inside_f, outdoor_f):
    wall = Surface("wall", 10, tuple(Layer(str(place), r, r) for place, r in enumerate(rs)))
    temps = [one.hottest_f for one in layer_temperatures(wall, inside_f, outdoor_f)]
    assert temps == sorted(temps, reverse=True)
    assert all(outdoor_f - 1e-9 <= one <= inside_f + 1e-9 for one in temps)


def test_a_thickness_is_asked_for_where_r_goes_by_the_inch():
    with pytest.raises(OutsideRange, match="R an inch"):
        layer("xps")
    with pytest.raises(OutsideRange, match="thickness"):
        layer("xps", 0)


def test_a_barrier_on_the_cold_side_is_named():
    good = Surface("wall", 10, (layer("plywood", 0.5, vapour_barrier=True), layer("xps", 4)))
    bad = Surface("wall", 10, (layer("plywood", 0.5), layer("xps", 4), layer("plywood", 0.5, vapour_barrier=True)))
    assert barrier_advice(good) == ""
    assert "cold side" in barrier_advice(bad)

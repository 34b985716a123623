"""Density and weight: the handbook's gravities first, then that water and wood add up."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.published_tables import published
from yard.wood.density import (
    board_weight_lb,
    density_lb_per_ft3,
    mc_max_pct,
    mc_pct_from_density,
    mc_sink_pct,
    specific_gravity_at_mc,
    water_per_pct_lb_per_mbf,
    water_to_remove_lb,
    weight_per_actual_bf_lb,
    weight_per_green_bf_lb,
    wood_density_lb_per_ft3,
)
from yard.wood.ranges import OutsideRange
from yard.wood.shrinkage import total_shrinkage
from yard.wood.species import all_species, species

ANY = st.floats(allow_nan=True, allow_infinity=True)
KEYS = st.sampled_from([row.key for row in all_species()])
GRAVITY_TOLERANCE = 0.021
# both columns of Table 5-3a are printed to 0.01 and were measured apart: pairs stray by two of the last digit
IMPOSSIBLE = {"pine-western-white"}
# printed 0.36 green and 0.35 at 12%: specific gravity cannot fall as wood shrinks
STRAY = {"oak-chestnut"}
# printed 0.66 (from memory), 0.028 over what its own shrinkage gives


def test_gravity_at_twelve_percent_meets_the_handbook_table():
    """Table 5-3a; rows with memory as provenance are recalled, not read."""
    checked, off = 0, []
    for row in published("specific_gravity_12pct.csv"):
        wood = species(row["species_key"])
        if wood.key in IMPOSSIBLE | STRAY:
            continue
        checked += 1
        total = total_shrinkage(wood, "volumetric").pct
        found = specific_gravity_at_mc(wood.basic_specific_gravity, 12, total, wood.fibre_saturation_pct)
        if abs(found - float(row["specific_gravity_12pct"])) > GRAVITY_TOLERANCE:
            off.append((wood.key, found, row["specific_gravity_12pct"]))
    assert checked > 75
    assert off == []


GROUP_TOLERANCE = 0.10
# the printed groups stand 15 to 20% apart, so half a step either way; "kiln-dry" is taken as 8%


def test_kiln_dry_lumber_weighs_what_its_group_is_printed_to_weigh():
    """Mean of each group's woods against a round table of 1895; the softwoods of the print weigh a fifth less.

    The print does not say whether its white pine and spruce are rough or surfaced; ours are as they measure.
    """
    found = {}
    for row in published("kiln_dry_weights.csv"):
        keys = row["species_keys"].split(";")
        mean = sum(1000 * weight_per_actual_bf_lb(key, 8) for key in keys) / len(keys)
        found[row["group"]] = mean / float(row["weight_lb_per_mbf"]) - 1
    softwoods = found.pop("white pine and spruce")
    assert max(abs(off) for off in found.values()) < GROUP_TOLERANCE
    assert len(found) == 4
    assert 0.15 < softwoods < 0.25


@given(key=KEYS, content=st.floats(0, 200))
def test_wood_and_water_weigh_the_same_tallied_green_or_measured_now(key, content):
    wood = species(key)
    shrunk = total_shrinkage(wood, "volumetric").pct
    left = 1 - shrunk / 100 * max(0.0, 1 - content / wood.fibre_saturation_pct)
    now = weight_per_actual_bf_lb(key, content) * left
    assert now == pytest.approx(weight_per_green_bf_lb(key, content))


@given(key=KEYS, wet=st.floats(0, 300), share=st.floats(0, 1))
def test_water_to_remove_is_the_difference_of_the_two_weights(key, wet, share):
    dry = wet * share
    gone = water_to_remove_lb(key, 1000, wet, dry)
    lighter = 1000 * (weight_per_green_bf_lb(key, wet) - weight_per_green_bf_lb(key, dry))
    assert gone == pytest.approx(lighter, abs=1e-6)


def test_a_percent_of_water_in_a_thousand_feet_is_52_times_the_gravity():
    """The round 52.0 of the published method, lb per MBF per 1% MC."""
    for row in all_species():
        assert water_per_pct_lb_per_mbf(row) == pytest.approx(52.0 * row.basic_specific_gravity, rel=1e-12)


def test_a_green_slab_weighs_what_its_footage_weighs():
    slab = board_weight_lb("oak-northern-red", 2.125, 20, 9, 80)
    assert slab == pytest.approx(2.125 * 20 * 9 / 12 * weight_per_green_bf_lb("oak-northern-red", 80))


@given(key=KEYS, share=st.floats(0, 1))
@example(key="ash-black", share=2.4e-17)
@example(key="oak-white", share=1.0)
def test_density_and_moisture_content_lead_back_to_each_other(key, share):
    content = share * mc_max_pct(species(key).basic_specific_gravity)
    found = mc_pct_from_density(key, wood_density_lb_per_ft3(key, content))
    assert found == pytest.approx(content, abs=1e-6)


@pytest.mark.parametrize(("gravity", "printed"), [(0.30, 268.4), (0.90, 46.2)])
def test_the_most_water_is_what_the_equation_gives_by_hand(gravity, printed):
    """100 (1.54 - G)/(1.54 G), WH-GTR282 Eq. 4-3; the text beside it says 267 and 44, which 1.50 would give."""
    assert mc_max_pct(gravity) == pytest.approx(printed, abs=0.05)


def test_a_density_that_the_wood_cannot_have_is_refused():
    with pytest.raises(OutsideRange, match="check weight and sizes"):
        mc_pct_from_density("oak-white", 90)
    with pytest.raises(OutsideRange, match="check weight and sizes"):
        mc_pct_from_density("oak-white", 20)


@given(gravity=st.floats(0.2, 0.99))
def test_wood_sinks_when_it_is_as_dense_as_water(gravity):
    assert gravity * (1 + mc_sink_pct(gravity) / 100) == pytest.approx(1.0)
    assert mc_sink_pct(gravity) < mc_max_pct(gravity) or gravity > 0.99


@given(key=KEYS, one=ANY, two=ANY, three=ANY, four=ANY)
def test_no_figures_make_anything_but_a_weight_or_a_named_range(key, one, two, three, four):
    for ask in (
        lambda: specific_gravity_at_mc(one, two, three, four),
        lambda: density_lb_per_ft3(one, two),
        lambda: wood_density_lb_per_ft3(key, one),
        lambda: weight_per_green_bf_lb(key, one),
        lambda: board_weight_lb(key, one, two, three, four),
        lambda: water_to_remove_lb(key, one, two, three),
        lambda: mc_pct_from_density(key, one),
        lambda: mc_max_pct(one),
        lambda: mc_sink_pct(one),
    ):
        try:
            found = ask()
        except OutsideRange:
            continue
        assert math.isfinite(found)

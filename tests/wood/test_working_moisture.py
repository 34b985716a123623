"""A figure opened up is the figure itself, with a formula, inputs, source and provenance."""

import pytest

from yard.wood import density, humid_air, meters, moisture, safe_rate, shrinkage
from yard.wood.ranges import OutsideRange
from yard.wood.working_moisture import (
    working_board_weight,
    working_emc,
    working_mc,
    working_meter,
    working_net_board_feet,
    working_oven_dry,
    working_rh_from_wet_bulb,
    working_safe_rate,
    working_sample_mc,
    working_shrinkage,
)

OPENED = [
    (working_mc(30, 20), moisture.mc_pct(30, 20)),
    (working_oven_dry(4.46, [92.4]), moisture.sample_oven_dry_lb(4.46, [92.4])),
    (working_sample_mc(4.14, 4.46, [92.4]), moisture.sample_mc_pct(4.14, 4.46, [92.4])),
    (working_emc(70, 65), moisture.equilibrium_mc_pct(70, 65)),
    (working_rh_from_wet_bulb(120, 100, 900), humid_air.rh_pct_from_wet_bulb(120, 100, 900)),
    (working_meter(12, 40), meters.meter_corrected_pct(12, 40)),
    (
        working_board_weight("oak-white", 2, 12, 8, 60),
        density.board_weight_lb("oak-white", 2, 12, 8, 60),
    ),
    (working_shrinkage("beech", "radial", 10), shrinkage.shrinkage_pct("beech", "radial", 10)),
    (working_net_board_feet("beech", 800, 8), shrinkage.net_board_feet_bf("beech", 800, 8)),
    (working_safe_rate("beech", 1.25), safe_rate.safe_rate_pct_per_day("beech", 1.25)),
]


@pytest.mark.parametrize(("working", "figure"), OPENED, ids=lambda value: getattr(value, "title", ""))
def test_an_opened_figure_is_the_figure_with_all_that_it_rests_on(working, figure):
    assert working.result == figure
    assert all((working.title, working.formula, working.unit, working.source, working.provenance))
    assert working.function.startswith("yard.wood.")
    assert all(given.name for given in working.inputs)


def test_figures_from_memory_say_so():
    assert "memory" in working_meter(12, 40).provenance
    assert "memory" in working_rh_from_wet_bulb(120, 100).provenance
    assert "memory" in working_safe_rate("beech", 1).provenance


def test_air_colder_than_the_printed_table_is_noted():
    assert working_emc(70, 65).notes == ()
    assert "Colder than the printed table" in working_emc(20, 65).notes[0]


def test_an_estimate_is_noted_as_one():
    assert "estimated" in working_shrinkage("mulberry-red", "volumetric", 10).notes[0]
    assert "drying group" in working_safe_rate("oak-black", 1).notes[0]


def test_a_figure_outside_its_range_is_refused_before_it_is_opened():
    with pytest.raises(OutsideRange):
        working_meter(40, 60)

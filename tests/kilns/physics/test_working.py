"""Any figure of a kiln opened up says the very figure that was computed, from a source of the list."""

import pytest

from kilns.physics import working_air, working_heat, working_schedules
from kilns.physics.charge_energy import ChargePlan
from kilns.physics.dehumidifier import Dehumidifier, capacity_lb_per_day, mc_at_most_pct
from kilns.physics.equalising import condition_emc_pct, equalise_emc_pct
from kilns.physics.example_kiln import small_kiln
from kilns.physics.heat_balance import Water, lowest_outdoor, temperature_held
from kilns.physics.heating import minutes_to_core
from kilns.physics.load_heat import Load, evaporation_btu, warming_btu
from kilns.physics.samples import controlling_mc_pct, drying_rate
from kilns.physics.schedules import assemble
from kilns.physics.warm_up import warm_up
from yard.wood.sources import source

OAK = Load("oak-northern-red", 500, 1.0, 30)
BOX = small_kiln(True)
UNIT = Dehumidifier(50, 1.6)
FLAT = (1700.0, 2500.0, 3600.0, 4700.0, 5600.0, 6200.0, 6100.0, 5200.0, 4000.0, 2600.0, 1600.0, 1300.0)
PLAN = ChargePlan(20, 110, 45, 30, 75, 8, 40)
STEP = assemble("T4-D2").steps[2]

OPENED = [
    (working_schedules.working_controlling_mc([40.0, 55.0, 48.0]), controlling_mc_pct([40.0, 55.0, 48.0])),
    (working_schedules.working_step_emc(STEP), STEP.emc_pct),
    (working_schedules.working_capped_humidity(120.0, STEP.emc_pct), None),
    (working_schedules.working_equalise_emc(8.0), equalise_emc_pct(8.0)),
    (working_schedules.working_condition_emc(8.0, "softwood"), condition_emc_pct(8.0, "softwood")),
    (
        working_schedules.working_drying_rate("oak-white", 2, 60, 50, 8),
        drying_rate("oak-white", 2, 60, 50, 8).pct_per_day,
    ),
    (
        working_heat.working_minutes_to_core("oak-white", 2, 8, None, 40, 160),
        minutes_to_core("oak-white", 2, 8, None, 40, 160),
    ),
    (working_heat.working_wall_loss(BOX, 120, 20), BOX.wall_btuh_f() * 100),
    (working_heat.working_held(BOX, 0, Water(1.0)), temperature_held(BOX, 0, Water(1.0)).temp_f),
    (working_heat.working_lowest_outdoor(BOX, 140), lowest_outdoor(BOX, 140).temp_f),
    (working_heat.working_warm_up(BOX, OAK, 40, 120, 30), warm_up(BOX, OAK, 40, 120, 30).wood_at_h),
    (working_heat.working_warming(OAK, 40, 120), warming_btu(OAK, 40, 120)),
    (working_heat.working_evaporation(OAK, 8, 110), evaporation_btu(OAK, 8, 110)),
    (working_heat.working_bought_kwh(BOX, OAK, PLAN, 0.5), working_heat.bought_kwh(BOX, OAK, PLAN, 0.5)),
    (working_air.working_air_needed(16, 250), 4000.0),
    (working_air.working_speed(4000, 16, 0.2), 200.0),
    (working_air.working_continuous_limit(30, 240), 5760.0),
    (working_air.working_dehumidifier(UNIT, 80, 60), capacity_lb_per_day(UNIT, 80, 60)),
    (working_air.working_mc_at_most(OAK, 100), mc_at_most_pct(OAK, 100)),
    (working_air.working_tilted(45, 55, 1, FLAT), working_air.tilted_btu_ft2(45, 55, 1, FLAT)),
    (working_air.working_collector_load(450, 45), 10.0),
]


@pytest.mark.parametrize(("opened", "figure"), OPENED, ids=lambda one: getattr(one, "title", ""))
def test_the_figure_opened_up_is_the_one_that_was_computed(opened, figure):
    assert figure is None or opened.result == figure
    assert source(opened.source_key).text == opened.source
    assert opened.formula
    assert opened.provenance
    assert opened.function.startswith(("kilns.physics.", "yard.wood."))


@pytest.mark.parametrize("opened", [one for one, _ in OPENED], ids=lambda one: one.title)
def test_every_input_is_a_figure_or_a_word_that_a_person_can_read(opened):
    """No kiln, load or plan as a whole: a page shows each input as it stands."""
    assert opened.inputs
    for one in opened.inputs:
        assert isinstance(one.value, str | int | float | tuple), one
        assert one.name


def test_the_flows_of_the_held_temperature_balance():
    opened = working_heat.working_held(small_kiln(), 0, Water(1.0))
    flows = [one.value for one in opened.inputs if one.unit == "Btu/h"]
    assert abs(sum(flows)) <= 4  # each rounded to the whole Btu/h


def test_the_parts_of_the_bill_add_up_to_the_current():
    opened = working_heat.working_bought_kwh(BOX, OAK, PLAN, 0.5)
    bought = sum(one.value for one in opened.inputs if one.name.startswith("bought"))
    assert bought == pytest.approx(opened.result, abs=0.2)

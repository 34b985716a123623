"""A drying figure opened up is the figure itself, with its source and provenance."""

from datetime import date

import pytest

from yard.wood.diffusion import temperature_factor
from yard.wood.drying import air_drying_days
from yard.wood.drying_parameters import drying_parameters
from yard.wood.working_drying import (
    working_air_drying_days,
    working_diffusivity,
    working_estimated_mc,
    working_ready_date,
    working_surface,
    working_temperature_factor,
)

STACK = {
    "wood": "oak-northern-red", "thickness_in": 2.0, "start_date": date(2025, 4, 1), "as_of": date(2025, 9, 1),
    "method": "4,096 simulated boards weighed by 3 observations",
}  # fmt: skip


def test_rate_constants_open_to_the_figures_that_the_model_uses():
    known = drying_parameters("maple-sugar", shelter=0.5)
    assert working_diffusivity("maple-sugar").result == known.diffusivity_m2_s
    assert working_surface("maple-sugar", 0.5).result == known.surface_m_s
    assert "memory" in working_diffusivity("maple-sugar").provenance


def test_a_species_without_a_published_time_says_that_its_group_stands_in():
    assert any("median of the drying group" in note for note in working_diffusivity("osage-orange").notes)


def test_days_outdoors_open_to_the_very_days():
    opened = working_air_drying_days("walnut-black", 1.0, "OH-Cleveland", date(2025, 4, 1))
    assert opened.result == air_drying_days("walnut-black", 1.0, "OH-Cleveland", date(2025, 4, 1))
    assert any("outside the model" in note for note in opened.notes)
    assert opened.provenance.startswith("memory")


def test_the_temperature_factor_opens():
    assert working_temperature_factor(50.0).result == pytest.approx(float(temperature_factor(50.0)))


def test_an_estimate_opens_to_its_observations_and_its_interval():
    opened = working_estimated_mc(
        **STACK, value_pct=38.0, low_pct=35.5, high_pct=40.2, observations=["oven section of 1 Apr 2025"],
        prior_basis="published drying times",
    )  # fmt: skip
    assert any(one.value == "oven section of 1 Apr 2025" for one in opened.inputs)
    assert "80% interval 35.5 to 40.2%" in opened.notes
    assert opened.function == "yard.wood.estimate.estimate_cohort"


def test_a_ready_date_opens_to_days_and_says_when_an_end_lies_beyond_the_horizon():
    opened = working_ready_date(
        **STACK, target_mc_pct=20.0, earliest=date(2026, 4, 1), likely=date(2026, 5, 1), latest=None
    )
    assert opened.result == 242
    assert any("after the horizon" in note for note in opened.notes)

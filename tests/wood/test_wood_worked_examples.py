"""Worked examples of the publications on wood and moisture, each at the tolerance that its row states."""

import pytest

from tests.published_tables import published
from yard.wood.density import (
    density_kg_per_m3,
    mc_max_pct,
    specific_gravity_at_mc,
    weight_per_green_bf_lb,
)
from yard.wood.moisture import equilibrium_mc_pct, mc_pct, oven_dry_lb
from yard.wood.safe_rate import days_at_rate
from yard.wood.shrinkage import shrinkage_at_mc_pct
from yard.wood.species import species
from yard.wood.thermal import conductivity_w_per_m_k, heat_capacity_kj_per_kg_k


def _f(temp_c):
    return temp_c * 1.8 + 32


def _density(gravity, content, shrink=None):
    return density_kg_per_m3(specific_gravity_at_mc(gravity, content, shrink), content)


EXAMPLES = {
    "density of table": density_kg_per_m3,
    "gravity without shrinkage": specific_gravity_at_mc,
    "density without shrinkage": _density,
    "shrinkage": shrinkage_at_mc_pct,
    "gravity with shrinkage": specific_gravity_at_mc,
    "density with shrinkage": _density,
    "equilibrium": lambda temp_c, rh_pct: equilibrium_mc_pct(_f(temp_c), rh_pct),
    "most water": mc_max_pct,
    "conductivity": conductivity_w_per_m_k,
    "heat capacity": lambda content, kelvin: heat_capacity_kj_per_kg_k(content, _f(kelvin - 273.15)),
    "moisture content": mc_pct,
    "oven-dry weight": oven_dry_lb,
    "days at a rate": days_at_rate,
    "green weight": lambda key: 1000 * weight_per_green_bf_lb(key, species(key).green_mc_average_pct),
}


def _given(text):
    return [text] if text[0].isalpha() else [float(part) for part in text.split(";")]


@pytest.mark.parametrize(
    "row",
    published("wood_worked_examples.csv"),
    ids=lambda row: f"{row['example']} {row['inputs']} ({row['provenance']})",
)
def test_worked_example_comes_out(row):
    found = EXAMPLES[row["example"]](*_given(row["inputs"]))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))

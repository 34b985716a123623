"""Worked examples of air, current, heat and samples: published, or worked out by hand from the published equation."""

import pytest

from kilns.physics import airflow, electrical, load_heat
from kilns.physics.load_heat import BTU_PER_KWH, BTU_PER_LB_PER_KJ_KG, Load
from kilns.physics.walls import Layer, Surface
from kilns.physics.wood_heat import capacity_kj_per_kg_dry_k
from tests.published_tables import published
from yard.wood.moisture import sample_mc_pct

OAK = "oak-northern-red"
ASK = {
    "air_needed_cfm": airflow.air_needed_cfm,
    "speed_fpm": airflow.speed_fpm,
    "continuous_limit_w": electrical.continuous_limit_w,
    "evaporation_btu_per_lb": load_heat.evaporation_btu_per_lb,
    "sorption_kj_per_kg": lambda one, two: load_heat.sorption_btu_per_lb(one, two) / BTU_PER_LB_PER_KJ_KG,
    "sample_mc": lambda now, first, mc: sample_mc_pct(now, first, [mc]),
    "wall_btuh": lambda area, r, inside, out: (
        Surface("w", area, (Layer("w", r, r),), films=False).ua_btuh_f() * (inside - out)
    ),
    "dry_kwh": lambda bf, mc, to, at: load_heat.evaporation_btu(Load(OAK, bf, 1, mc), to, at) / BTU_PER_KWH,
    "warm_kwh": lambda bf, mc, start, to: load_heat.warming_btu(Load(OAK, bf, 1, mc), start, to) / BTU_PER_KWH,
    "capacity": lambda mc, at: capacity_kj_per_kg_dry_k(mc, at) / (1 + mc / 100),
}


@pytest.mark.parametrize("row", published("kiln_worked_examples.csv"), ids=lambda row: row["name"])
def test_the_worked_example_comes_out(row):
    found = ASK[row["ask"]](*(float(one) for one in row["arguments"].split(";")))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]) + 1e-9)

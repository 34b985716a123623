"""The heat that a load takes: to warm it, and to drive its water out."""

import math
from dataclasses import dataclass

from kilns.physics.wood_heat import FUSION_KJ_PER_KG, capacity_kj_per_kg_dry_k
from yard.wood.density import WATER_LB_PER_FT3
from yard.wood.moisture import MC_HIGHEST_PCT
from yard.wood.ranges import require_range
from yard.wood.species import Species
from yard.wood.species import species as species_of

BTU_PER_LB_PER_KJ_KG = 0.4299226
# Btu/lb for 1 kJ/kg, exact from the definitions of the units
BTU_PER_KWH = 3412.142
# Btu/kWh, exact from the definitions of the units
SORPTION_KJ_PER_KG, SORPTION_A_PCT = 1176.0, 0.15
# kJ/kg at 0% MC, and how fast it fades a percent of MC (WEICHERT-SKAAR, from memory, medium-high)
ICE_AT_F = 32.0
ROUND_BTU_PER_LB = 1000.0
# Btu a pound of water, the round figure of the trade (WENGERT-OLIVEIRA, read): a check, not used


@dataclass(frozen=True, slots=True)
class Load:
    """What stands in the kiln: species, footage tallied green, nominal thickness and moisture content."""

    species_key: str
    board_feet_bf: float
    thickness_in: float
    mc_pct: float

    @property
    def dry_lb(self) -> float:
        """Oven-dry weight [lb]: footage x 62.4 x G / 12 (WH-GTR282 Eq. 4-14 on the green volume)."""
        wood = species_of(self.species_key)
        require_range("footage", self.board_feet_bf, 0.0, 1e6, "bf")
        return self.board_feet_bf / 12.0 * WATER_LB_PER_FT3 * wood.basic_specific_gravity

    @property
    def face_area_ft2(self) -> float:
        """Both wide faces of all boards [ft²]: 2 x footage / thickness."""
        return 2.0 * self.board_feet_bf / require_range("thickness", self.thickness_in, 0.25, 24.0, "in")


def evaporation_btu_per_lb(temp_f: float) -> float:
    """Return the heat to evaporate a pound of free water.

    Parameters: `temp_f` [°F], 32 to 212. Returns [Btu/lb]. Raises OutsideRange.
    Source: STEAM-TABLES, 2501 - 2.36 t kJ/kg (from memory, high). Check: about 1037 at 100 °F (from memory).

    >>> round(evaporation_btu_per_lb(100))
    1037
    """
    require_range("temperature", temp_f, 32.0, 212.0, "°F")
    return (2501.0 - 2.36 * (temp_f - 32.0) / 1.8) * BTU_PER_LB_PER_KJ_KG


def sorption_btu_per_lb(from_mc_pct: float, to_mc_pct: float) -> float:
    """Return the extra heat a pound of water, on average, that wood below fibre saturation holds on to.

    Parameters: `from_mc_pct` [%], 0 to 400; `to_mc_pct` [%], 0 up to less than that. Returns [Btu/lb] of the
    water that leaves. Raises OutsideRange.
    Source: WEICHERT-SKAAR, 1176 exp(-0.15 M) kJ/kg, integrated (from memory, medium-high).
    Check: 115 kJ/kg from 30 to 7%, about 5% of the evaporation heat.

    >>> round(sorption_btu_per_lb(30, 7) / 0.4299226)
    115
    """
    require_range("moisture content", from_mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    require_range("moisture content to reach", to_mc_pct, 0.0, from_mc_pct - 1e-6, "%", "Drying only lowers it")
    whole = SORPTION_KJ_PER_KG / SORPTION_A_PCT
    held = whole * (math.exp(-SORPTION_A_PCT * to_mc_pct) - math.exp(-SORPTION_A_PCT * from_mc_pct))
    return held / (from_mc_pct - to_mc_pct) * BTU_PER_LB_PER_KJ_KG


def water_lb(load: Load, to_mc_pct: float) -> float:
    """Return the water that a load loses on its way to a moisture content [lb]. Raises OutsideRange.

    Source: WH-GTR282 Eq. 4-14. Check: 1,000 bf of red oak is 2,912 lb dry, of which 23% leave.

    >>> round(water_lb(Load("oak-northern-red", 1000, 1, 30), 7))
    670
    """
    require_range("moisture content to reach", to_mc_pct, 0.0, load.mc_pct, "%", "Drying only lowers it")
    return load.dry_lb * (load.mc_pct - to_mc_pct) / 100.0


def evaporation_btu(load: Load, to_mc_pct: float, temp_f: float) -> float:
    """Return the heat to drive a load's water out at a temperature, sorption with it [Btu]. Raises OutsideRange.

    Source: as `evaporation_btu_per_lb` and `sorption_btu_per_lb`. Check: 1,000 bf of red oak from 30 to 7% at
    113 °F take 202 kWh and 10 more for sorption (worked out by hand from the same equations).

    >>> round(evaporation_btu(Load("oak-northern-red", 1000, 1, 30), 7, 113) / 3412.142)
    212
    """
    if load.mc_pct <= to_mc_pct:
        return 0.0
    a_pound = evaporation_btu_per_lb(temp_f) + sorption_btu_per_lb(load.mc_pct, to_mc_pct)
    return water_lb(load, to_mc_pct) * a_pound


def warming_btu(load: Load, from_f: float, to_f: float) -> float:
    """Return the heat to warm a load and its water, ice melted on the way [Btu].

    Parameters: `from_f` [°F], -60 up to `to_f`; `to_f` to 212. Raises OutsideRange.
    Source: WH-GTR190 Eq. 4-16a to 4-18 by `wood_heat`, at the mean temperature; ice of the water above fibre
    saturation. Check: 300 bf of red oak at 12%, 68 to 140 °F, 8.6 kWh (worked out by hand).

    >>> round(warming_btu(Load("oak-northern-red", 300, 1, 12), 68, 140) / 3412.142, 1)
    8.6
    """
    require_range("temperature to reach", to_f, -60.0, 212.0, "°F")
    require_range("start temperature", from_f, -60.0, to_f, "°F")
    heat = load_capacity_btu_f(load, (from_f + to_f) / 2) * (to_f - from_f)
    if from_f < ICE_AT_F <= to_f:
        wood = species_of(load.species_key)
        free = max(0.0, load.mc_pct - wood.fibre_saturation_pct) / 100.0
        heat += load.dry_lb * free * FUSION_KJ_PER_KG * BTU_PER_LB_PER_KJ_KG
    return heat


def load_capacity_btu_f(load: Load, temp_f: float) -> float:
    """Return the heat that a load takes a degree, with all its water [Btu/°F]. Source: as `warming_btu`.

    Check: 31.0 MJ over 72 °F (worked out by hand) is 408 Btu/°F.

    >>> round(load_capacity_btu_f(Load("oak-northern-red", 300, 1, 12), 104))
    408
    """
    wood: Species = species_of(load.species_key)
    a_kg = capacity_kj_per_kg_dry_k(load.mc_pct, temp_f, wood.fibre_saturation_pct)
    return load.dry_lb * a_kg * BTU_PER_LB_PER_KJ_KG / 1.8

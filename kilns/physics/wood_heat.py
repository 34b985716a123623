"""Heat in wet wood: how well it conducts, what it holds, and what its ice takes to melt.

`yard.wood.thermal` covers wood below fibre saturation at room temperature; a kiln heats wood far above it. SI.
"""

from dataclasses import dataclass

from yard.wood.density import mc_max_pct
from yard.wood.moisture import MC_HIGHEST_PCT
from yard.wood.ranges import require_range
from yard.wood.species import Species
from yard.wood.species import species as species_of

W_M_K_PER_BTU_IN = 0.1442279
# W/(m K) for 1 Btu in/(h ft² °F), exact from the definitions of the units
MACLEAN_WET_FROM_PCT = 40.0
# % MC: from here on water adds more to conduction (MACLEAN-1941, from memory, high)
WATER_KJ_PER_KG_K = 4.18
# kJ/(kg K), water (WH-GTR190 Eq. 4-17, read)
FUSION_KJ_PER_KG = 333.6
# kJ/kg: heat to melt ice (STEAM-TABLES, from memory, high)
WATER_KG_PER_M3 = 1000.0
COLDEST_F, HOTTEST_F = -60.0, 260.0
# °F: temperatures of wood in a yard or kiln (our own limits)
EQUATION_FROM_F = 44.0
# °F: the heat-capacity equation begins here (280 K, WH-GTR190, from memory); colder wood takes its value there


@dataclass(frozen=True, slots=True)
class WoodHeat:
    """What conduction needs to know of a wood at a moisture content and mean temperature, per green volume."""

    conductivity_w_m_k: float
    capacity_j_m3_k: float
    fusion_j_m3: float  # to melt its free water; bound water does not freeze

    @property
    def diffusivity_m2_s(self) -> float:
        """Thermal diffusivity across the grain [m²/s]."""
        return self.conductivity_w_m_k / self.capacity_j_m3_k


def conductivity_w_m_k(basic_specific_gravity: float, mc_pct: float) -> float:
    """Return how well wood of any moisture content conducts heat across the grain.

    Parameters: `basic_specific_gravity` 0.1 to 1.3; `mc_pct` [%], 0 to 400. Returns [W/(m K)]. Raises
    OutsideRange. Source: MACLEAN-1941, k = G (1.39 + 0.028 M) + 0.165 below 40% and 0.038 M from there, in
    Btu in/(h ft² °F), from memory (high); held to Wood Handbook Table 20-4 by the tests of `heating.py`.

    >>> round(conductivity_w_m_k(0.56, 80.0), 3)
    0.382
    """
    require_range("moisture content", mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    require_range("basic specific gravity", basic_specific_gravity, 0.1, 1.3)
    slope = 0.028 if mc_pct < MACLEAN_WET_FROM_PCT else 0.038
    return (basic_specific_gravity * (1.39 + slope * mc_pct) + 0.165) * W_M_K_PER_BTU_IN


def capacity_kj_per_kg_dry_k(mc_pct: float, temp_f: float, fibre_saturation_pct: float = 30.0) -> float:
    """Return the heat to warm wood and all its water by a kelvin, a kilogram of oven-dry wood.

    Parameters: `mc_pct` [%], 0 to 400; `temp_f` [°F], -60 to 260, below 44 the value at 44;
    `fibre_saturation_pct` [%], 15 to 40: water above it is free water. Returns [kJ/K per kg of dry wood]. Raises
    OutsideRange. Source: WH-GTR190 Eq. 4-16a to 4-18, the bond term up to fibre saturation only.
    Check: 1.91 x 1.12 at 12% and 340 K (the worked value of `yard.wood.thermal`).

    >>> round(capacity_kj_per_kg_dry_k(12, (340 - 273.15) * 1.8 + 32) / 1.12, 2)
    1.91
    """
    require_range("moisture content", mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    require_range("temperature", temp_f, COLDEST_F, HOTTEST_F, "°F")
    kelvin = (max(temp_f, EQUATION_FROM_F) - 32.0) / 1.8 + 273.15
    bound = min(mc_pct, require_range("fibre saturation", fibre_saturation_pct, 15.0, 40.0, "%"))
    bond = bound * (-0.06191 + 2.36e-4 * kelvin - 1.33e-4 * bound)
    dry = 0.1031 + 0.003867 * kelvin
    return dry + WATER_KJ_PER_KG_K * mc_pct / 100.0 + (1.0 + bound / 100.0) * bond


def wood_heat(species: str | Species, mc_pct: float, mean_f: float) -> WoodHeat:
    """Return conduction and heat capacity of a wood round a mean temperature.

    Parameters: `species` key or Species; `mc_pct` [%], 0 to what the wood can hold; `mean_f` [°F], -60 to 260.
    Raises UnknownSpecies, OutsideRange. Source: as `conductivity_w_m_k` and `capacity_kj_per_kg_dry_k`; the
    heat to melt ice is that of water above fibre saturation: bound water does not freeze (from memory, medium).
    Check: diffusivity of green hardwoods 1.36 to 1.40e-7 m²/s near 108 °F.

    >>> f"{wood_heat('maple-red', 63.5, 108.5).diffusivity_m2_s:.1e}"
    '1.4e-07'
    """
    wood = species_of(species)
    gravity = wood.basic_specific_gravity
    most = mc_max_pct(gravity)
    require_range("moisture content", mc_pct, 0.0, most, "%", f"{wood.plain_name} holds no more water")
    dry_kg_m3 = WATER_KG_PER_M3 * gravity
    free = max(0.0, mc_pct - wood.fibre_saturation_pct) / 100.0
    capacity = capacity_kj_per_kg_dry_k(mc_pct, mean_f, wood.fibre_saturation_pct)
    return WoodHeat(
        conductivity_w_m_k(gravity, mc_pct),
        1000.0 * dry_kg_m3 * capacity,
        1000.0 * dry_kg_m3 * free * FUSION_KJ_PER_KG,
    )

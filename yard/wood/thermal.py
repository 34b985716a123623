"""Heat in wood: thermal conductivity and heat capacity at a moisture content."""

from yard.wood.density import HEAVIEST, specific_gravity_at_mc
from yard.wood.ranges import require_range

CONDUCTS_FROM = 0.3
# basic specific gravity; the equation is for denser wood than this (WH-GTR190 Eq. 4-15, from memory)
CONDUCTS_TO_MC_PCT = 25.0
# %; the equation is for drier wood than this (WH-GTR190 Eq. 4-15, from memory)


def conductivity_w_per_m_k(
    basic_specific_gravity: float, mc_pct: float, shrink_volumetric_pct: float | None = None
) -> float:
    """Return how well wood conducts heat across the grain, at room temperature.

    Parameters: `basic_specific_gravity` 0.3 to 1.3; `mc_pct` [%], 0 to 25; `shrink_volumetric_pct` green to
    oven-dry [%], estimated from specific gravity when not given. Returns [W/(m K)]. Raises OutsideRange.
    Source: WH-GTR190 Eq. 4-15. Check: 0.54 with 12.3% at 10% is 0.1567 W/(m K) (a public library's
    documentation that applies Eq. 4-7, 4-9 and 4-15).

    >>> round(conductivity_w_per_m_k(0.54, 10, 12.3), 4)
    0.1567
    """
    require_range("basic specific gravity", basic_specific_gravity, CONDUCTS_FROM, HEAVIEST)
    require_range("moisture content", mc_pct, 0.0, CONDUCTS_TO_MC_PCT, "%")
    gravity = specific_gravity_at_mc(basic_specific_gravity, mc_pct, shrink_volumetric_pct)
    return gravity * (0.1941 + 0.004064 * mc_pct) + 0.01864


def heat_capacity_kj_per_kg_k(mc_pct: float, temp_f: float) -> float:
    """Return the heat that a kilogram of moist wood takes to warm by a kelvin, below fibre saturation.

    Parameters: `mc_pct` [%], 0 to 30; `temp_f` [°F], 44 to 297 (280 to 420 K). Returns [kJ/(kg K)] of wood
    with its water. Raises OutsideRange. Source: WH-GTR190 Eq. 4-16a, 4-17 and 4-18 (range from memory).
    Check: 1.91 kJ/(kg K) at 12% and 340 K (a public library's documentation; Table 4-8 shows 1.9).

    >>> round(heat_capacity_kj_per_kg_k(12, (340 - 273.15) * 1.8 + 32), 2)
    1.91
    """
    require_range("moisture content", mc_pct, 0.0, 30.0, "%")
    require_range("temperature", temp_f, 44.0, 297.0, "°F")
    kelvin = (temp_f - 32.0) / 1.8 + 273.15
    dry = 0.1031 + 0.003867 * kelvin
    bond = mc_pct * (-0.06191 + 2.36e-4 * kelvin - 1.33e-4 * mc_pct)
    return (dry + 4.18 * mc_pct / 100.0) / (1.0 + mc_pct / 100.0) + bond

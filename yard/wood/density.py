"""Specific gravity, density and weight of wood at any moisture content, and the water in it.

Two board feet, kept apart: a *green* board foot was tallied off the saw and keeps its name while it shrinks;
an *actual* board foot is 1/12 ft³ of the wood as it measures at that moisture content.
"""

from yard.wood.moisture import MC_HIGHEST_PCT
from yard.wood.ranges import require_range
from yard.wood.shrinkage import VOLUME_PER_GRAVITY_PCT, shrinkage_at_mc_pct, total_shrinkage
from yard.wood.species import Species
from yard.wood.species import species as species_of

WATER_LB_PER_FT3 = 62.4
# lb/ft³ (WH-GTR282 Eq. 4-14); 62.43 is printed elsewhere
WATER_KG_PER_M3 = 1000.0
# kg/m³ (WH-GTR282 Eq. 4-14)
WALL_SPECIFIC_GRAVITY = 1.54
# of the cell wall itself (WH-GTR282 Eq. 4-3)
BOARD_FEET_PER_FT3 = 12.0
# bf/ft³; 144 in³ a board foot

_HAIR = 1e-9
# lb/ft³; an oven-dry density worked out another way may lie the last digit of a float under the lowest
LIGHTEST, HEAVIEST = 0.1, 1.3
# basic specific gravity of the lightest and heaviest woods of the world (common knowledge)


def specific_gravity_at_mc(
    basic_specific_gravity: float,
    mc_pct: float,
    shrink_volumetric_pct: float | None = None,
    fibre_saturation_pct: float = 30.0,
) -> float:
    """Return specific gravity on the volume at a moisture content, from the basic one on green volume.

    Parameters: `basic_specific_gravity` 0.1 to 1.3; `mc_pct` [%], 0 to 400; `shrink_volumetric_pct` green
    to oven-dry [%], 0 to 40, 26.5 times the specific gravity when not given; `fibre_saturation_pct` [%],
    15 to 40. Returns oven-dry weight over volume at `mc_pct`. Raises OutsideRange.
    Source: WH-GTR282 Eq. 4-11 with 4-9 and 4-12; WH-GTR190 Eq. 4-9.
    Check: white ash, 0.55 and 13.3%, is 0.598 at 12% (WH-GTR190 p. 4-9, from memory).

    >>> round(specific_gravity_at_mc(0.55, 12, 13.3), 3)
    0.598
    """
    require_range("basic specific gravity", basic_specific_gravity, LIGHTEST, HEAVIEST)
    total = shrink_volumetric_pct
    if total is None:
        total = VOLUME_PER_GRAVITY_PCT * basic_specific_gravity
    shrunk = shrinkage_at_mc_pct(total, mc_pct, fibre_saturation_pct)
    return basic_specific_gravity / (1.0 - shrunk / 100.0)


def density_lb_per_ft3(specific_gravity: float, mc_pct: float) -> float:
    """Return the density of wood with its water from its specific gravity at that moisture content.

    Parameters: `specific_gravity` on the volume at `mc_pct`, 0.1 to 1.54; `mc_pct` [%], 0 to 400.
    Returns [lb/ft³]. Raises OutsideRange. Source: WH-GTR282 Eq. 4-14 (WH-GTR190 Eq. 4-12), water 62.4.
    Check: white ash at 12% is 41.8 lb/ft³ (WH-GTR190 p. 4-10, from memory).

    >>> round(density_lb_per_ft3(0.598, 12), 1)
    41.8
    """
    return WATER_LB_PER_FT3 * _relative_density(specific_gravity, mc_pct)


def density_kg_per_m3(specific_gravity: float, mc_pct: float) -> float:
    """Return the density of wood with its water, metric.

    Parameters: as `density_lb_per_ft3`. Returns [kg/m³]. Raises OutsideRange.
    Source: WH-GTR282 Eq. 4-14. Check: 0.60 at 12% is 672 kg/m³ (WH-GTR282 Table 4-6a).

    >>> round(density_kg_per_m3(0.60, 12))
    672
    """
    return WATER_KG_PER_M3 * _relative_density(specific_gravity, mc_pct)


def wood_density_lb_per_ft3(species: str | Species, mc_pct: float) -> float:
    """Return the density of a wood at a moisture content, on its volume there.

    Parameters: `species` key or Species; `mc_pct` [%], 0 to 400. Returns [lb/ft³]. Raises OutsideRange.
    Source: WH-GTR282 Eq. 4-11 and 4-14 with the table's specific gravity and shrinkage.
    Check: white ash at 12% is 41.8 lb/ft³ (WH-GTR190 p. 4-10, from memory).

    >>> round(wood_density_lb_per_ft3("ash-white", 12), 1)
    41.8
    """
    return density_lb_per_ft3(_species_gravity(species_of(species), mc_pct), mc_pct)


def weight_per_actual_bf_lb(species: str | Species, mc_pct: float) -> float:
    """Return the weight of a board foot as measured at that moisture content.

    Parameters: `species` key or Species; `mc_pct` [%], 0 to 400. Returns [lb/bf]. Raises OutsideRange.
    Source: WH-GTR282 Eq. 4-14 over 12 bf/ft³. Check: white ash at 12%: 41.8/12.

    >>> round(weight_per_actual_bf_lb("ash-white", 12), 2)
    3.48
    """
    return wood_density_lb_per_ft3(species, mc_pct) / BOARD_FEET_PER_FT3


def weight_per_green_bf_lb(species: str | Species, mc_pct: float) -> float:
    """Return the weight, at a moisture content, of a board foot that was tallied green.

    Parameters: `species` key or Species; `mc_pct` [%], 0 to 400. Returns [lb per green bf]. Raises
    OutsideRange. Source: WH-GTR282 Eq. 4-14 on the green volume.
    Check: green white oak weighs about 5,200 lb a thousand feet (WENGERT-FF69; here at FIA's green 68.3%).

    >>> abs(1000 * weight_per_green_bf_lb("oak-white", 68.3) - 5200) < 100
    True
    """
    require_range("moisture content", mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    gravity = species_of(species).basic_specific_gravity
    return WATER_LB_PER_FT3 * gravity * (1.0 + mc_pct / 100.0) / BOARD_FEET_PER_FT3


def board_weight_lb(
    species: str | Species, thickness_in: float, width_in: float, length_ft: float, mc_pct: float
) -> float:
    """Return the weight of a board from its green-sawn size and its moisture content now.

    Parameters: `species` key or Species; `thickness_in` and `width_in` as sawn green [in], 0 to 240;
    `length_ft` [ft], 0 to 200; `mc_pct` [%], 0 to 400. Returns [lb]. Raises OutsideRange.
    Source: WH-GTR282 Eq. 4-14 on the green volume. Check: one green foot board of red oak, 12 x 1 in,
    weighs its weight a board foot.

    >>> board_weight_lb("oak-northern-red", 1, 12, 1, 80) == weight_per_green_bf_lb("oak-northern-red", 80)
    True
    """
    require_range("thickness", thickness_in, 0.0, 240.0, "in")
    require_range("width", width_in, 0.0, 240.0, "in")
    require_range("length", length_ft, 0.0, 200.0, "ft")
    return thickness_in * width_in * length_ft / 12.0 * weight_per_green_bf_lb(species, mc_pct)


def water_per_pct_lb_per_mbf(species: str | Species) -> float:
    """Return the water that one percent of moisture content is, in a thousand green board feet.

    Parameters: `species` key or Species. Returns [lb per green MBF per % MC] of stock sawn to its nominal
    size. Raises UnknownSpecies. Source: WH-GTR282 Eq. 4-14: 0.01 x 62.4 x G x 1000/12 = 52.0 G.
    Check: northern red oak, 52.0 x 0.56.

    >>> round(water_per_pct_lb_per_mbf("oak-northern-red"), 2)
    29.12
    """
    gravity = species_of(species).basic_specific_gravity
    return 0.01 * WATER_LB_PER_FT3 * gravity * 1000.0 / BOARD_FEET_PER_FT3


def water_to_remove_lb(species: str | Species, green_bf: float, from_mc_pct: float, to_mc_pct: float) -> float:
    """Return the water that leaves lumber on its way from one moisture content to a lower one.

    Parameters: `species` key or Species; `green_bf` tallied green [bf], 0 to 1e9; `from_mc_pct` [%], 0 to
    400; `to_mc_pct` [%], 0 to `from_mc_pct`. Returns [lb]. Raises OutsideRange.
    Source: as `water_per_pct_lb_per_mbf`. Check: 29.12 lb x 60 for a thousand feet of red oak, 80 to 20%.

    >>> round(water_to_remove_lb("oak-northern-red", 1000, 80, 20))
    1747
    """
    require_range("footage", green_bf, 0.0, 1e9, "bf")
    require_range("moisture content", from_mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    require_range("moisture content to reach", to_mc_pct, 0.0, from_mc_pct, "%", "Drying only lowers it")
    return water_per_pct_lb_per_mbf(species) * green_bf / 1000.0 * (from_mc_pct - to_mc_pct)


def mc_pct_from_density(species: str | Species, density_lb_ft3: float) -> float:
    """Return the moisture content that a wood's weighed and measured density stands for.

    Parameters: `species` key or Species; `density_lb_ft3` weight over volume, both as they are now
    [lb/ft³], from oven-dry to full of water. Returns MC [%]: rough, since a board's specific gravity
    strays about a tenth from its species' mean (common knowledge). Raises OutsideRange.
    Source: WH-GTR282 Eq. 4-11 and 4-14 solved for M. Check: the inverse of `wood_density_lb_per_ft3`.

    >>> round(mc_pct_from_density("ash-white", wood_density_lb_per_ft3("ash-white", 12)), 6)
    12.0
    """
    wood = species_of(species)
    gravity, saturation = wood.basic_specific_gravity, wood.fibre_saturation_pct
    lightest = wood_density_lb_per_ft3(wood, 0.0)
    heaviest = wood_density_lb_per_ft3(wood, mc_max_pct(gravity))
    hint = f"No {wood.common_name} of the usual specific gravity weighs that: check weight and sizes"
    require_range("density", density_lb_ft3, lightest - _HAIR, heaviest + _HAIR, "lb/ft³", hint)
    relative = density_lb_ft3 / WATER_LB_PER_FT3
    if relative >= gravity * (1.0 + saturation / 100.0):
        return 100.0 * (relative / gravity - 1.0)
    share = total_shrinkage(wood, "volumetric").pct / 100.0
    content = (gravity - relative * (1.0 - share)) / (relative * share / saturation - gravity / 100.0)
    return max(content, 0.0)


def mc_max_pct(basic_specific_gravity: float) -> float:
    """Return the most water that wood of a specific gravity can hold, all its hollows full.

    Parameters: `basic_specific_gravity` 0.1 to 1.3. Returns MC [%]. Raises OutsideRange.
    Source: WH-GTR282 Eq. 4-3, cell wall 1.54. Check: about 267% at 0.30 as printed; the equation 268.4.

    >>> round(mc_max_pct(0.30), 1)
    268.4
    """
    require_range("basic specific gravity", basic_specific_gravity, LIGHTEST, HEAVIEST)
    return 100.0 * (1.0 / basic_specific_gravity - 1.0 / WALL_SPECIFIC_GRAVITY)


def mc_sink_pct(basic_specific_gravity: float) -> float:
    """Return the moisture content at which wood sinks; wood denser than water sinks at any.

    Parameters: `basic_specific_gravity` 0.1 to 1. Returns MC [%]. Raises OutsideRange.
    Source: WH-GTR282 Eq. 4-4. Check: 100% at 0.5.

    >>> mc_sink_pct(0.5)
    100.0
    """
    require_range("basic specific gravity", basic_specific_gravity, LIGHTEST, 1.0)
    return 100.0 * (1.0 - basic_specific_gravity) / basic_specific_gravity


def _species_gravity(wood: Species, mc_pct: float) -> float:
    shrink = total_shrinkage(wood, "volumetric").pct
    return specific_gravity_at_mc(wood.basic_specific_gravity, mc_pct, shrink, wood.fibre_saturation_pct)


def _relative_density(specific_gravity: float, mc_pct: float) -> float:
    require_range("specific gravity", specific_gravity, LIGHTEST, WALL_SPECIFIC_GRAVITY)
    require_range("moisture content", mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    return specific_gravity * (1.0 + mc_pct / 100.0)

"""How long a load must stand in heat before the core of its thickest piece is hot enough to kill insects.

    minutes_to_core("oak-northern-red", 2.0, 6.0, None, 60.0, 160.0)      # saturated steam, green
    minutes_to_core("walnut-black", 2.0, 10.0, 8.0, 50.0, 150.0)          # dry slabs in hot air

The board is a rectangle whose four faces take on the medium's temperature at once. What a real chamber did
is followed in `core_history.py`, with measured air and a film.
"""

import math
from dataclasses import dataclass

from kilns.physics.cross_section import FREEZING_F, CrossSection
from kilns.physics.wood_heat import COLDEST_F, WoodHeat, wood_heat
from yard.wood.ranges import OutsideRange, require_range
from yard.wood.species import Species
from yard.wood.species import species as species_of

CORE_F = 133.0
# °F: 56 °C in the core (ISPM-15, read)
THINNEST_IN, THICKEST_IN = 0.25, 24.0
# in: lumber and timbers (our own limits; Table 20-4 was measured on 1 to 6 in)
HOTTEST_MEDIUM_F = 212.0
# °F: no saturated medium of a kiln is hotter
M_PER_IN = 0.0254
TERMS = 40
# of the series: the first minute of a 24 in timber needs that many for six digits (our choice)
WET_FROM_PCT = 25.0
# % MC: wetter wood cools by evaporation to near the wet bulb (our own limit, no source)
LONGEST_MIN = 60.0 * 24 * 14


class NeedsCoreProbe(OutsideRange):
    """The wood is wet and the wet bulb under the wanted core: no time can be given, only a probe can tell.

    >>> str(NeedsCoreProbe(60.0, 120.0, 133.0))
    'wet bulb 120 °F is below 133 °F. Wood at 60% MC cools itself towards the wet bulb: only a core probe can tell'
    """

    def __init__(self, mc_pct: float, wet_bulb_f: float, core_f: float) -> None:
        hint = f"Wood at {mc_pct:g}% MC cools itself towards the wet bulb: only a core probe can tell"
        super().__init__("wet bulb", wet_bulb_f, core_f, None, "°F", hint)


@dataclass(frozen=True, slots=True)
class HeatingTime:
    """Minutes to a hot core with what they rest on; `low_min` and `high_min` from the published boards."""

    minutes: float
    low_min: float
    high_min: float
    method: str
    reasons: tuple[str, ...]


HIGH_OF_PUBLISHED, LOW_OF_PUBLISHED = 1.29, 0.93
# computed over published minutes, the most and the least on the 22 boards of Wood Handbook Table 20-4 that were
# heated in saturated steam; tests/kilns/physics/test_heating.py fails when they no longer hold


def minutes_to_core(
    species: str | Species,
    thickness_in: float,
    width_in: float,
    mc_pct: float | None,
    start_f: float,
    medium_f: float,
    core_f: float = CORE_F,
    *,
    wet_bulb_f: float | None = None,
) -> float:
    """Return the minutes until the centre of a board reaches a temperature in a medium of steady heat.

    Parameters: `species` key or Species; `thickness_in` and `width_in` [in], 0.25 to 24; `mc_pct` [%], None for
    the species' green average; `start_f` [°F], -60 up to the core; `medium_f` [°F], above the core, to 212;
    `core_f` [°F], 60 to 200; `wet_bulb_f` [°F] of air that is not saturated: wood of 25% and more is then taken
    to be heated by the wet bulb alone. Returns [min]. Raises UnknownSpecies, OutsideRange, and NeedsCoreProbe for
    wet wood when the wet bulb is under the core.
    Source: MACLEAN-1941, transient conduction in a rectangle (CARSLAW-JAEGER), properties at the mean of start
    and medium; a frozen start takes the heat to melt its free water as well (`cross_section`).
    Check: green red oak 2 x 6 in, 60 to 133 °F in steam of 157 °F, 49 minutes (WH-GTR190 Table 20-4), within 10%.

    >>> 44 < minutes_to_core("oak-northern-red", 2, 6, None, 60, 157) < 54
    True
    """
    wood = species_of(species)
    content = wood.green_mc_average_pct if mc_pct is None else mc_pct
    _require(thickness_in, width_in, start_f, medium_f, core_f)
    heated_by = medium_f
    if wet_bulb_f is not None and content >= WET_FROM_PCT:
        heated_by = min(medium_f, require_range("wet bulb", wet_bulb_f, 33.0, medium_f, "°F"))
        if heated_by <= core_f:
            raise NeedsCoreProbe(content, wet_bulb_f, core_f)
    heat = wood_heat(wood, content, (start_f + heated_by) / 2)
    sizes_m = (thickness_in * M_PER_IN, width_in * M_PER_IN)
    if start_f < FREEZING_F and heat.fusion_j_m3 > 0.0:
        return _minutes_from_frozen(heat, sizes_m, start_f, heated_by, core_f)
    return _minutes_by_series(heat, sizes_m, start_f, heated_by, core_f)


def heating_time(
    species: str | Species,
    thickness_in: float,
    width_in: float,
    mc_pct: float | None,
    start_f: float,
    medium_f: float,
    core_f: float = CORE_F,
    *,
    wet_bulb_f: float | None = None,
) -> HeatingTime:
    """Return `minutes_to_core` with its interval and what it does not cover. Parameters and errors: the same.

    The interval is that of the published boards: computed times were 0.93 to 1.29 of the measured ones.

    >>> time = heating_time("oak-northern-red", 2, 6, None, 60, 157)
    >>> time.low_min < time.minutes < time.high_min
    True
    """
    found = minutes_to_core(species, thickness_in, width_in, mc_pct, start_f, medium_f, core_f, wet_bulb_f=wet_bulb_f)
    reasons = ["The heat is on every face at once: a stickered load in moving air, once the air itself is hot"]
    reasons.append("Piled without stickers it takes 2 to 10 times as long (FPL-RP-607, read)")
    if start_f < FREEZING_F:
        reasons.append("Frozen: the heat to melt its free water is in; ice conducts better, which is left out")
    if wet_bulb_f is not None and wet_bulb_f < medium_f:
        reasons.append("Not saturated: wet wood is taken at the wet bulb, dry wood at the dry bulb")
    return HeatingTime(
        found, found / HIGH_OF_PUBLISHED, found / LOW_OF_PUBLISHED, "conduction into a rectangle", tuple(reasons)
    )


def core_share(heat_diffusivity_m2_s: float, size_m: float, seconds: float) -> float:
    """Return how much of the first difference to the medium is left in the middle of an endless slab.

    Parameters: diffusivity [m²/s]; `size_m` full thickness [m]; `seconds` since the faces took the heat, above 0.
    Source: CARSLAW-JAEGER, 4/π Σ (-1)^n/(2n+1) exp(-(2n+1)² π² α t/a²). Check: at α t/a² = 0.1 it is 0.4745.

    >>> round(core_share(1.0e-7, 0.05, 2500.0), 4)
    0.4745
    """
    if seconds <= 0.0:
        return 1.0
    rate = heat_diffusivity_m2_s * (math.pi / size_m) ** 2 * seconds
    terms = ((-1) ** n / (2 * n + 1) * math.exp(-((2 * n + 1) ** 2) * rate) for n in range(TERMS))
    return min(1.0, 4.0 / math.pi * math.fsum(terms))


def _minutes_by_series(
    heat: WoodHeat, sizes_m: tuple[float, float], start_f: float, medium_f: float, core_f: float
) -> float:
    left = (medium_f - core_f) / (medium_f - start_f)
    low, high = 0.0, LONGEST_MIN * 60.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        share = math.prod(core_share(heat.diffusivity_m2_s, size, middle) for size in sizes_m)
        low, high = (middle, high) if share > left else (low, middle)
    return high / 60.0


def _minutes_from_frozen(
    heat: WoodHeat, sizes_m: tuple[float, float], start_f: float, medium_f: float, core_f: float
) -> float:
    section = CrossSection(heat, *sizes_m, start_f=start_f)
    minutes, before = 0.0, start_f
    while minutes < LONGEST_MIN:
        core = section.advance(60.0, medium_f)
        if core >= core_f:
            return minutes + (core_f - before) / (core - before)
        minutes, before = minutes + 1.0, core
    raise OutsideRange("minutes to a hot core", minutes, 0.0, LONGEST_MIN, "min")


def _require(thickness_in: float, width_in: float, start_f: float, medium_f: float, core_f: float) -> None:
    require_range("thickness", thickness_in, THINNEST_IN, THICKEST_IN, "in")
    require_range("width", width_in, THINNEST_IN, THICKEST_IN, "in")
    require_range("core temperature", core_f, 60.0, 200.0, "°F")
    require_range("start temperature", start_f, COLDEST_F, core_f, "°F", "The core is that hot already")
    hint = "The heat must be above the core, with a few degrees to spare"
    require_range("temperature of the medium", medium_f, core_f + 0.5, HOTTEST_MEDIUM_F, "°F", hint)

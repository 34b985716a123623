"""Shrinking and swelling: how much smaller wood is at a moisture content than green, and what footage is left."""

from dataclasses import dataclass
from typing import Literal

from yard.wood.moisture import MC_HIGHEST_PCT
from yard.wood.ranges import require_range
from yard.wood.species import NoFigure, Species
from yard.wood.species import species as species_of

Direction = Literal["radial", "tangential", "volumetric"]
Cut = Literal["flat", "quarter", "mixed"]

VOLUME_PER_GRAVITY_PCT = 26.5
# % green to oven-dry a unit of basic specific gravity (WH-GTR282 Eq. 4-12)
COEFFICIENT_AT_MC_PCT = 10.0
# %; the moisture content round which the coefficients of Table 13-5 are taken (WH-GTR190 ch. 13)
COEFFICIENT_LOWEST_PCT, COEFFICIENT_HIGHEST_PCT = 6.0, 14.0
# %; between these the coefficients hold (WH-GTR190 Eq. 13-2)

_LARGEST_IN = 2400.0
# in; 200 ft, longer than any board


@dataclass(frozen=True, slots=True)
class TotalShrinkage:
    """Shrinkage from green to oven-dry with what it rests on; `estimated` when no source prints it."""

    pct: float
    source: str
    provenance: str
    estimated: bool


@dataclass(frozen=True, slots=True)
class BoardSize:
    """Thickness and width of a board [in]."""

    thickness_in: float
    width_in: float


def total_shrinkage(species: str | Species, direction: Direction) -> TotalShrinkage:
    """Return a wood's shrinkage from green to oven-dry.

    Parameters: `species` key or Species; `direction` radial, tangential or volumetric. Returns [% of the
    green size] with its source. Without a printed volumetric figure the one from specific gravity stands
    in, marked as estimated. Raises NoFigure where no source prints the direction, OutsideRange.
    Source: WH-GTR190 Table 4-3; WH-GTR282 Eq. 4-12 for the estimate. Check: white ash 13.3% (Table 4-3).

    >>> total_shrinkage("ash-white", "volumetric").pct
    13.3
    >>> total_shrinkage("mulberry-red", "volumetric").estimated
    True
    """
    wood = species_of(species)
    printed = {
        "radial": wood.shrink_radial_pct,
        "tangential": wood.shrink_tangential_pct,
        "volumetric": wood.shrink_volumetric_pct,
    }
    if direction not in printed:
        raise NoFigure(wood.common_name, f"{direction} shrinkage", "Radial, tangential or volumetric")
    pct = printed[direction]
    if pct is not None:
        return TotalShrinkage(pct, wood.shrink_source, wood.shrink_provenance, False)
    if direction == "volumetric":
        estimate = VOLUME_PER_GRAVITY_PCT * wood.basic_specific_gravity
        return TotalShrinkage(estimate, "WH-GTR282 Eq. 4-12", "computed from specific gravity", True)
    raise NoFigure(wood.common_name, f"{direction} shrinkage", "Measure a board green and dry instead")


def shrinkage_pct(species: str | Species, direction: Direction, mc_pct: float) -> float:
    """Return how much smaller wood is at a moisture content than green.

    Parameters: `species` key or Species; `direction` radial, tangential or volumetric; `mc_pct` [%], 0 to
    400; above the wood's fibre saturation nothing has shrunk. Returns [% of the green size]. Raises
    OutsideRange. Source: WH-GTR190 Eq. 4-7 (WH-GTR282 Eq. 4-9), with each wood's own fibre saturation.
    Check: white ash at 12% has lost 7.98% of its volume (13.3 x 18/30; WH-GTR190 p. 4-9, from memory).

    >>> round(shrinkage_pct("ash-white", "volumetric", 12), 2)
    7.98
    """
    wood = species_of(species)
    total = total_shrinkage(wood, direction).pct
    return shrinkage_at_mc_pct(total, mc_pct, wood.fibre_saturation_pct)


def shrinkage_at_mc_pct(total_pct: float, mc_pct: float, fibre_saturation_pct: float = 30.0) -> float:
    """Return the shrinkage reached at a moisture content when the shrinkage to oven-dry is known.

    Parameters: `total_pct` green to oven-dry [%], 0 to 40; `mc_pct` [%], 0 to 400; `fibre_saturation_pct`
    [%], 15 to 40. Returns [% of the green size]. Raises OutsideRange.
    Source: WH-GTR190 Eq. 4-7. Check: half the total at half of fibre saturation.

    >>> shrinkage_at_mc_pct(8.0, 15.0)
    4.0
    """
    require_range("shrinkage", total_pct, 0.0, 40.0, "%")
    require_range("moisture content", mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    require_range("fibre saturation", fibre_saturation_pct, 15.0, 40.0, "%")
    return total_pct * (1.0 - min(mc_pct, fibre_saturation_pct) / fibre_saturation_pct)


def dimensional_coefficient(species: str | Species, direction: Direction) -> float:
    """Return the change of size a percent of moisture content, near 10%, as a share of the size there.

    Parameters: `species` key or Species; `direction` radial or tangential (volumetric by the same rule).
    Returns [per % MC], to be used from 6 to 14% MC. Raises NoFigure, OutsideRange.
    Source: WH-GTR190 Eq. 13-2 and Table 13-5. The table follows S/(3000 - 20 S) from the shrinkage S of
    Table 4-3 at fibre saturation 30; redwood, western redcedar and northern white-cedar at 22. Group rows
    of the table (the red oaks as one) differ from the single wood's own.
    Check: white ash 0.00169 radial, 0.00274 tangential (Table 13-5).

    >>> round(dimensional_coefficient("ash-white", "radial"), 5)
    0.00169
    """
    wood = species_of(species)
    total = total_shrinkage(wood, direction).pct
    fibre_saturation = wood.fibre_saturation_pct
    return total / (100.0 * fibre_saturation - (fibre_saturation - COEFFICIENT_AT_MC_PCT) * total)


def size_at_mc_in(
    species: str | Species, direction: Direction, size_in: float, from_mc_pct: float, to_mc_pct: float
) -> float:
    """Return the size at another moisture content of a board measured at a known one.

    Parameters: `species` key or Species; `direction` radial or tangential; `size_in` measured [in], 0 to
    2,400; `from_mc_pct` and `to_mc_pct` [%], 0 to 400. Returns [in]. Raises NoFigure, OutsideRange.
    Source: WH-GTR190 Eq. 4-7 at both contents, which is Eq. 13-3 for both below fibre saturation.
    Check: basswood 12 in wide from 10 to 5% loses 12.7/64 in (Table 13-5: 0.00330 x 12 x 5).

    >>> round((12 - size_at_mc_in("basswood", "tangential", 12, 10, 5)) * 64, 1)
    12.7
    """
    require_range("size", size_in, 0.0, _LARGEST_IN, "in")
    before = 1.0 - shrinkage_pct(species, direction, from_mc_pct) / 100.0
    after = 1.0 - shrinkage_pct(species, direction, to_mc_pct) / 100.0
    return size_in * after / before


def dry_size(
    species: str | Species, thickness_in: float, width_in: float, mc_pct: float, cut: Cut = "flat"
) -> BoardSize:
    """Return a green-sawn board's thickness and width at a moisture content.

    Parameters: `species` key or Species; `thickness_in` and `width_in` as sawn green [in], 0 to 2,400;
    `mc_pct` [%], 0 to 400; `cut` flat (tangential width), quarter (radial width) or mixed (the mean both
    ways: common practice, no source). Returns BoardSize. Raises NoFigure, OutsideRange.
    Source: WH-GTR190 Eq. 4-7, Table 4-3. Check: white ash, flat, to oven-dry: 10 in wide less 7.8%.

    >>> round(dry_size("ash-white", 1.125, 10, 0).width_in, 2)
    9.22
    """
    require_range("thickness", thickness_in, 0.0, _LARGEST_IN, "in")
    require_range("width", width_in, 0.0, _LARGEST_IN, "in")
    thickness_pct, width_pct = _face_shrinkage_pct(species, mc_pct, cut)
    return BoardSize(thickness_in * (1.0 - thickness_pct / 100.0), width_in * (1.0 - width_pct / 100.0))


def net_board_feet_bf(species: str | Species, gross_bf: float, mc_pct: float, cut: Cut = "flat") -> float:
    """Return the net (dry) tally of lumber tallied green: the widths shrink, the nominal thickness stays.

    Parameters: `species` key or Species; `gross_bf` green tally [bf], 0 to 1e9; `mc_pct` the dry content
    [%], 0 to 400; `cut` as in `dry_size`. Returns [bf]. Raises NoFigure, OutsideRange.
    Source: WH-GTR190 Eq. 4-7 on the width; footage by surface measure and nominal thickness (NHLA-RULES).
    Check: white ash, flat, to oven-dry loses the 7.8% of its width.

    >>> round(net_board_feet_bf("ash-white", 1000, 0), 1)
    922.0
    """
    require_range("footage", gross_bf, 0.0, 1e9, "bf")
    _, width_pct = _face_shrinkage_pct(species, mc_pct, cut)
    return gross_bf * (1.0 - width_pct / 100.0)


def softwood_lumber_shrinkage_pct(face: Literal["width", "thickness"], mc_pct: float) -> float:
    """Return the shrinkage from green of mixed-grain softwood lumber, all species together.

    Parameters: `face` width or thickness; `mc_pct` [%], 8 to 19. Returns [% of the green size]; not for
    redwood and the cedars. Raises OutsideRange.
    Source: FPL-RP-489, green taken as 28%. Check: nothing has shrunk at 28% (width 6.031 - 0.215 x 28).

    >>> round(softwood_lumber_shrinkage_pct("width", 19), 3)
    1.946
    """
    require_range("moisture content", mc_pct, 8.0, 19.0, "%")
    lines = {"width": (6.031, 0.215), "thickness": (5.062, 0.181)}
    if face not in lines:
        raise NoFigure("mixed-grain softwood lumber", f"{face} shrinkage", "Width or thickness")
    whole, slope = lines[face]
    return whole - slope * mc_pct


def _face_shrinkage_pct(species: str | Species, mc_pct: float, cut: Cut) -> tuple[float, float]:
    """Shrinkage of thickness and of width [%] for a cut."""
    radial = shrinkage_pct(species, "radial", mc_pct)
    tangential = shrinkage_pct(species, "tangential", mc_pct)
    mean = (radial + tangential) / 2.0
    faces = {"flat": (radial, tangential), "quarter": (tangential, radial), "mixed": (mean, mean)}
    if cut not in faces:
        raise NoFigure(species_of(species).common_name, f"{cut}-sawn shrinkage", "Flat, quarter or mixed")
    return faces[cut]

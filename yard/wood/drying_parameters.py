"""What the drying model starts from for a species: the rate constants and the green wood."""

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from yard.wood.ranges import require_range
from yard.wood.species import Species, species

_TABLE = Path(__file__).parent / "data" / "drying_parameters.csv"

SURFACE_KG_M2_S = 1.0e-5
# kg of water per m² and second per unit of MC: surface coefficient at 20 °C of an open yard pile,
# starting value of the model (our own, moved by a yard's weighings)

WATER_KG_M3 = 1000.0


@dataclass(frozen=True, slots=True)
class DryingParameters:
    """Rate constants at 20 °C and the green MC of one species, with how they came about."""

    species_key: str
    diffusivity_m2_s: float
    surface_m_s: float
    surface_factor: float
    start_mc_pct: float
    fibre_saturation_pct: float
    basis: str
    source: str
    provenance: str


@dataclass(frozen=True, slots=True)
class _Row:
    diffusivity_m2_s: float
    surface_factor: float
    basis: str
    source: str
    provenance: str


@cache
def _rows() -> dict[str, _Row]:
    with _TABLE.open(newline="", encoding="utf-8") as lines:
        return {
            row["species"]: _Row(
                float(row["diffusivity_m2_s"]),
                float(row["surface_factor"]),
                row["basis"],
                row["source"],
                row["provenance"],
            )
            for row in csv.DictReader(lines)
        }


def drying_parameters(wood: str | Species, *, shelter: float = 1.0) -> DryingParameters:
    """Return what the drying model starts from for a species.

    Parameters: `wood` a key of the species table or a Species; `shelter` 0.05 to 5, how freely air moves
    round the boards against an open yard pile (f of the surface coefficient).
    Returns: D at 20 °C fitted to the species' shortest published air-drying time, or the median of its
    drying group; S = f 1.0e-5/(1000 G), with f above 1 for the few woods whose shortest time asks for it.
    Errors: UnknownSpecies; OutsideRange for shelter.
    Source: D from data/drying_parameters.csv (fit to TN-233 table 1, from memory); G and fibre saturation
    from data/species.csv; the surface coefficient is our own starting value.

    >>> oak = drying_parameters("oak-northern-red")
    >>> 2.8e-11 < oak.diffusivity_m2_s < 3.6e-11, oak.start_mc_pct, f"{oak.surface_m_s:.2e}"
    (True, 80.0, '1.79e-08')
    """
    wood = species(wood)
    require_range("shelter factor", shelter, 0.05, 5.0)
    row = _rows()[wood.key]
    return DryingParameters(
        wood.key,
        row.diffusivity_m2_s,
        shelter * row.surface_factor * SURFACE_KG_M2_S / (WATER_KG_M3 * wood.basic_specific_gravity),
        row.surface_factor,
        wood.green_moisture.mc_pct,
        wood.fibre_saturation_pct,
        row.basis,
        row.source,
        row.provenance,
    )


def diffusivity_m2_s(wood: str | Species) -> float:
    """Return D at 20 °C [m²/s] that the model starts from for a species.

    >>> 2.8e-11 < diffusivity_m2_s("oak-northern-red") < 3.6e-11
    True
    """
    return drying_parameters(wood).diffusivity_m2_s


def surface_m_s(wood: str | Species, shelter: float = 1.0) -> float:
    """Return S at 20 °C [m/s] that the model starts from: shelter x surface factor x 1.0e-5/(1000 G).

    >>> f"{surface_m_s('oak-northern-red'):.2e}"
    '1.79e-08'
    """
    return drying_parameters(wood, shelter=shelter).surface_m_s

"""The working of a stored estimate: the model, what went in, what it was believed before and after."""

import math
from dataclasses import dataclass
from typing import Any

from yard import quantities
from yard.models import Estimate
from yard.wood.observations import OVEN_SECTION_SD_PCT, PIN_SD_PCT, STACK_WEIGHING_SD, WEIGHING_SD
from yard.wood.sources import source
from yard.wood.species import species

MODEL = (
    "∂M/∂t = ∂/∂x (D ∂M/∂x) through the thickness; D = D20 exp(−5280 (1/T − 1/293)), T in kelvin; at the faces "
    "D ∂M/∂x = S exp(−5280 (1/T − 1/293)) (min(M, F) − EMC of the air)"
)
SOURCES = ("SIMPSON-1993", "DRYING-START", "WH-GTR190")
SPREADS = {
    "weighing of the whole": f"± {STACK_WEIGHING_SD:.0%} of the weight",
    "weighing": f"± {WEIGHING_SD:.1%} of the weight",
    "oven section": f"± {OVEN_SECTION_SD_PCT:g}% MC",
    "meter": f"± {PIN_SD_PCT:g}% MC",
}


@dataclass(frozen=True, slots=True)
class WorkingLine:
    """One input or result: name, what was taken or believed, and what the observations made of it."""

    name: str
    before: str
    after: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class EstimateWorking:
    """Everything a reader needs to see how an estimate came about."""

    model: str
    lines: list[WorkingLine]
    observations: list[tuple[str, str]]
    left_aside: list[str]
    method: str
    members_left: int | None
    sources: list[tuple[str, str]]


def estimate_working(estimate: Estimate) -> EstimateWorking:
    """Open up a stored estimate; nothing is computed anew."""
    inputs: dict[str, Any] = estimate.inputs or {}
    return EstimateWorking(
        MODEL,
        [*_facts(inputs), *_beliefs(inputs.get("prior") or {}, estimate.posterior or {})],
        [(words, _spread(words)) for words in inputs.get("observations", [])],
        list(inputs.get("left_aside", [])),
        inputs.get("method", ""),
        inputs.get("effective_sample_size"),
        [(source(key).text, source(key).provenance) for key in SOURCES],
    )


def _facts(inputs: dict[str, Any]) -> list[WorkingLine]:
    if not inputs:
        return []
    wood = species(inputs["species_key"])
    frozen = "stands still" if inputs.get("frozen_stop") else "goes on as slowly as the cold lets it"
    return [
        WorkingLine("Wood", wood.plain_name, note=f"basic specific gravity {wood.basic_specific_gravity:g}"),
        WorkingLine("Thickness", quantities.thickness(inputs["thickness_in"])),
        WorkingLine("Drying since", inputs["started_on"]),
        WorkingLine("Fibre saturation F", f"{wood.fibre_saturation_pct:g}%", note=wood.fibre_saturation_provenance),
        WorkingLine("Frozen wood", frozen, note="common practice, no source; set under Yard settings"),
    ]


def _beliefs(prior: dict[str, Any], posterior: dict[str, Any]) -> list[WorkingLine]:
    """Each believed quantity before the observations and after them; ± is one standard deviation."""
    if not prior:
        return []
    return [
        WorkingLine(
            "Diffusion D20 (20 °C)", _scaled(prior["ln_d"], "m²/s"), _scaled(posterior.get("ln_d"), "m²/s"),
            prior.get("basis", ""),
        ),
        WorkingLine("Surface S (20 °C)", _scaled(prior["ln_s"], "m/s"), _scaled(posterior.get("ln_s"), "m/s")),
        WorkingLine("MC at the start", _plain(prior["start_mc_pct"])),
        WorkingLine(
            "EMC beside the air's", _plain(prior["emc_offset_pct"]), _plain(posterior.get("emc_offset_pct")),
            "how much drier or moister it is between the stickers than the air says",
        ),
    ]  # fmt: skip


def _scaled(belief: dict[str, float] | None, unit: str) -> str:
    """A quantity believed by its logarithm: its middle, and the factor of one standard deviation."""
    if not belief:
        return ""
    return f"{math.exp(belief['mean']):.1e} {unit}, × or ÷ {math.exp(belief['sd']):.2f}"


def _plain(belief: dict[str, float] | None) -> str:
    if not belief:
        return ""
    mean = 0.0 if abs(belief["mean"]) < 0.05 else belief["mean"]
    return f"{mean:.1f} ± {belief['sd']:.1f}%"


def _spread(words: str) -> str:
    """How far such an observation is taken to be off, one standard deviation."""
    return next((spread for start, spread in SPREADS.items() if words.startswith(start)), "")

"""What the heat clock of a run is asked at first: the sanitising phase, and the slowest piece of the load."""

from datetime import datetime, timedelta
from typing import Any

from kilns.models import Run
from kilns.physics.treatments import heat_treatments
from kilns.services.core_hold import Piece, sanitise_span, slowest_piece
from kilns.services.run_samples import run_samples
from kilns.services.run_sensors import run_span
from kilns.services.run_slabs import slabs_in_load
from yard.quantities import mc, thickness

THINNER_IN, DRIER_PCT = 1 / 16, 1.0
# by which a piece is described otherwise before it is told (our own limits)
USUAL_MC_PCT = 12.0
# % MC where nothing says how wet the load is (our own guess, to be changed on the page)


def heat_asked(run: Run, now: datetime) -> dict[str, Any]:
    """The first answers of the form; a fixed number of queries."""
    span = run_span(run, now)
    window = sanitise_span(list(run.phases.all()), now)
    if window is None and span is not None:
        window = (max(span.since, span.until - timedelta(days=1)), span.until)
    samples = run_samples(run, now=now)
    content = samples.reading.wettest_mc_pct if samples.reading else run.plan.get("start_mc_pct", USUAL_MC_PCT)
    piece = slowest_piece(list(slabs_in_load(run, *window)), content) if window else None
    found: dict[str, Any] = {"kind": heat_treatments()[0].key}
    if samples.reading:
        found["wettest_pct"] = samples.reading.wettest_mc_pct
    if window is not None:
        found |= {"since": window[0], "until": window[1]}
    if piece is not None:
        found |= {
            "species_key": piece.species_key, "thickness_in": round(piece.thickness_in, 3),
            "width_in": round(piece.width_in, 1), "mc_pct": round(piece.mc_pct, 1), "words": piece.words,
        }  # fmt: skip
    return found


def easier_than_asked(asked: dict[str, Any], piece: Piece) -> tuple[str, ...]:
    """Sentences where a piece is described as thinner or drier than the load's slowest and wettest is known to be."""
    told = []
    if "thickness_in" in asked and piece.thickness_in < asked["thickness_in"] - THINNER_IN:
        told.append(
            f"Followed for {thickness(piece.thickness_in)}: the thickest piece of the load, {asked['words']}, is "
            f"{thickness(asked['thickness_in'])}."
        )
    if "wettest_pct" in asked and piece.mc_pct < asked["wettest_pct"] - DRIER_PCT:
        told.append(f"Followed at {mc(piece.mc_pct)}: the wettest sample has {mc(asked['wettest_pct'])}.")
    return tuple(told)

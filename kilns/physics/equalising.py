"""The end of a charge: equalise, condition, and test for stress and gradient."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from kilns.physics.tables import table
from yard.wood.moisture import MC_HIGHEST_PCT
from yard.wood.ranges import OutsideRange, require_range

DRIEST_TARGET_PCT, WETTEST_TARGET_PCT = 5.0, 11.0
# % MC; the rows of the table (AH-188 ch. 7, from memory)
BELOW_TARGET_PCT, LOW_GRADE_BELOW_PCT = 2.0, 3.0
# % MC; how far below the target the driest may go (WENGERT-OAK step 6C, read: 3 for softwoods and low grades)
WIDE_SPREAD_PCT = 3.0
# % MC between driest and wettest late in drying that calls for equalising (FPL-GTR-57 appendix A, read)
EVEN_WITHIN_PCT = 1.0
# % MC; even enough for most uses of hardwood, within and between pieces (WENGERT-1992-EQ, read)
STRAIGHT_WITHIN_IN = 0.125
# in; prongs this straight are free of stress (WENGERT-COLUMN, read)

Kind = Literal["hardwood", "softwood"]


@dataclass(frozen=True, slots=True)
class EndTreatment:
    """When to begin equalising, the EMC to hold, when to stop, and the EMC to condition at [%]."""

    target_mc_pct: float
    start_when_driest_pct: float
    equalise_emc_pct: float
    stop_when_wettest_pct: float
    condition_emc_pct: float
    source_key: str
    provenance: str
    notes: tuple[str, ...] = ()


def end_treatment(target_mc_pct: float, kind: Kind = "hardwood", low_grade: bool = False) -> EndTreatment:
    """Return the equalising and conditioning of a charge for a final moisture content.

    Parameters: `target_mc_pct` [%], 5 to 11 (between the whole rows by the table's own rule); `kind` hardwood or
    softwood; `low_grade` lets the driest go 3 points below instead of 2. Returns EndTreatment [%]. Raises
    OutsideRange.
    Source: AH-188 ch. 7 table of equalising and conditioning, from memory (high); the 2 and 3 points
    WENGERT-OAK step 6C (read). Check: 8% is 6, 6, 8, and 12 for hardwoods, 11 for softwoods (memory high).

    >>> row = end_treatment(8)
    >>> row.start_when_driest_pct, row.equalise_emc_pct, row.stop_when_wettest_pct, row.condition_emc_pct
    (6.0, 6.0, 8.0, 12.0)
    """
    require_range("final moisture content", target_mc_pct, DRIEST_TARGET_PCT, WETTEST_TARGET_PCT, "%")
    column = "condition_emc_hardwood_pct" if kind == "hardwood" else "condition_emc_softwood_pct"
    rows = table("equalising.csv")
    low = rows[min(math.floor(target_mc_pct) - int(DRIEST_TARGET_PCT), len(rows) - 1)]
    part = target_mc_pct - float(low["target_mc_pct"])
    extra = LOW_GRADE_BELOW_PCT - BELOW_TARGET_PCT if low_grade else 0.0
    notes = ("Low grade: driest and EMC 3 points below the target instead of 2 (read)",) if low_grade else ()
    return EndTreatment(
        target_mc_pct,
        float(low["start_when_driest_pct"]) + part - extra,
        float(low["equalise_emc_pct"]) + part - extra,
        float(low["stop_when_wettest_pct"]) + part,
        float(low[column]) + part,
        low["source_key"],
        f"{low['provenance']}; check against the publication",
        notes,
    )


def equalise_emc_pct(target_mc_pct: float, low_grade: bool = False) -> float:
    """Return the EMC to equalise at [%]. As `end_treatment`, as a bare figure.

    >>> equalise_emc_pct(8)
    6.0
    """
    return end_treatment(target_mc_pct, low_grade=low_grade).equalise_emc_pct


def condition_emc_pct(target_mc_pct: float, kind: Kind = "hardwood") -> float:
    """Return the EMC to condition at [%]. As `end_treatment`, as a bare figure.

    >>> condition_emc_pct(8), condition_emc_pct(8, "softwood")
    (12.0, 11.0)
    """
    return end_treatment(target_mc_pct, kind).condition_emc_pct


EndState = Literal["keep drying", "equalise", "even: condition or cool"]


@dataclass(frozen=True, slots=True)
class EndAdvice:
    """What the samples call for at the end of a charge, and why."""

    state: EndState
    reason: str


def end_advice(mcs_pct: Sequence[float], treatment: EndTreatment, equalising: bool = False) -> EndAdvice:
    """Return whether to keep drying, to equalise, or to go on.

    Parameters: `mcs_pct` the samples now [%]; `treatment` of `end_treatment`; `equalising` whether that has begun
    (it then lasts until the wettest is down). Raises OutsideRange.
    Source: WENGERT-OAK step 6C; FPL-GTR-57 appendix A (read).

    >>> end_advice([9.5, 7.0, 6.0], end_treatment(8)).state, end_advice([8.0, 6.5], end_treatment(8)).state
    ('equalise', 'even: condition or cool')
    """
    _require_samples(mcs_pct)
    wettest, driest = max(mcs_pct), min(mcs_pct)
    if wettest <= treatment.stop_when_wettest_pct:
        return EndAdvice("even: condition or cool", f"the wettest sample is down to {wettest:.1f}%")
    if equalising:
        return EndAdvice("equalise", f"the wettest sample is still at {wettest:.1f}%")
    if driest <= treatment.start_when_driest_pct:
        return EndAdvice("equalise", f"the driest sample is down to {driest:.1f}%, the wettest at {wettest:.1f}%")
    return EndAdvice("keep drying", f"the driest sample is at {driest:.1f}%")


@dataclass(frozen=True, slots=True)
class ConditioningTime:
    """How long conditioning takes in a steam kiln [h], low to high; cooler kilns take much longer."""

    low_h: float
    high_h: float
    source_key: str
    provenance: str


def conditioning_time(thickness_in: float) -> ConditioningTime:
    """Return the usual hours of conditioning for a hardwood thickness.

    Parameters: `thickness_in` nominal [in], 0.75 to 2.5: 4/4 (up to 6/4) or 8/4. Raises OutsideRange.
    Source: AH-188 ch. 7, from memory (medium): 16 to 24 h for 4/4, 48 h or more for 8/4; all in steam kilns;
    72 h is the longest that FPL-GTR-57 appendix A states (read).

    >>> conditioning_time(1).high_h, conditioning_time(2).low_h
    (24.0, 48.0)
    """
    require_range("thickness", thickness_in, 0.75, 2.5, "in")
    low, high = (16.0, 24.0) if thickness_in <= 1.5 else (48.0, 72.0)
    return ConditioningTime(low, high, "AH-188", "memory medium; check against the publication")


ProngState = Literal["free of stress", "casehardened", "over-conditioned"]


@dataclass(frozen=True, slots=True)
class ProngReading:
    """What a prong test shows, what to do, and what makes it mislead."""

    state: ProngState
    advice: str
    caution: str


PRONG_CAUTION = "Prongs tell the truth only in wood of even moisture: leave the section a day, then read it"


def prong_test(inward_in: float) -> ProngReading:
    """Return what the prongs of a stress section show.

    Parameters: `inward_in` how far a prong's tip has moved towards the other [in], -2 to 2, outward below 0.
    Raises OutsideRange. Source: straight within 1/8 in WENGERT-COLUMN (read); inward is casehardened, outward
    over-conditioned: AH-188 ch. 6, from memory (high).

    >>> prong_test(0.1).state, prong_test(0.4).state, prong_test(-0.3).state
    ('free of stress', 'casehardened', 'over-conditioned')
    """
    require_range("movement of the prongs", inward_in, -2.0, 2.0, "in")
    if abs(inward_in) <= STRAIGHT_WITHIN_IN:
        return ProngReading("free of stress", "Cool the load.", PRONG_CAUTION)
    if inward_in > 0:
        return ProngReading("casehardened", "Condition, or condition longer.", PRONG_CAUTION)
    return ProngReading("over-conditioned", "Very hard to cure: condition the next load for less time.", PRONG_CAUTION)


@dataclass(frozen=True, slots=True)
class FinalEvenness:
    """How even a charge came out [% MC]: spread over boards, shell to core, and whether both are within a point."""

    mean_pct: float
    spread_pct: float
    gradient_pct: float | None
    even: bool
    notes: tuple[str, ...]


def final_evenness(
    board_mcs_pct: Sequence[float], shell_pct: float | None = None, core_pct: float | None = None
) -> FinalEvenness:
    """Return how even a charge is, between boards and from shell to core.

    Parameters: `board_mcs_pct` final moisture contents [%]; `shell_pct` and `core_pct` [%] of a section cut in
    layers, both or neither. Raises OutsideRange.
    Source: within a point either way within and between pieces, WENGERT-1992-EQ (read).

    >>> final_evenness([7.0, 8.0, 7.5], 7.0, 8.5).even, final_evenness([6.0, 10.0]).even
    (True, False)
    """
    _require_samples(board_mcs_pct)
    mean = math.fsum(board_mcs_pct) / len(board_mcs_pct)
    spread = max(board_mcs_pct) - min(board_mcs_pct)
    notes = []
    between = max(max(board_mcs_pct) - mean, mean - min(board_mcs_pct)) <= EVEN_WITHIN_PCT
    if not between:
        notes.append(f"Boards lie {spread:.1f} points apart: more than a point from their mean")
    gradient = None if shell_pct is None or core_pct is None else core_pct - shell_pct
    within = gradient is None or abs(gradient) <= 2 * EVEN_WITHIN_PCT
    if not within:
        notes.append(f"Core and shell lie {abs(gradient or 0.0):.1f} points apart: equalise longer")
    return FinalEvenness(mean, spread, gradient, between and within, tuple(notes))


def _require_samples(mcs_pct: Sequence[float]) -> None:
    if not mcs_pct:
        raise OutsideRange("number of samples", 0, 1, None, "", "Weigh at least one sample")
    for content in mcs_pct:
        require_range("moisture content", content, 0.0, MC_HIGHEST_PCT, "%")

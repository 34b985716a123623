"""What is believed of a cohort before anything is measured, and how finished stacks move that belief."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from yard.wood.drying_parameters import drying_parameters
from yard.wood.ranges import require_range
from yard.wood.species import Species

LN_D_SD, LN_S_SD, EMC_OFFSET_SD_PCT, START_MC_SD_PCT = 0.4, 0.5, 1.0, 10.0
# spreads (one standard deviation) of ln D20, ln S, the EMC offset and the start MC: DRYING-START

BETWEEN_STACKS_SHARE = 0.5
# of the prior variance: what differs from stack to stack of one yard; the rest the yard learns (our choice)


@dataclass(frozen=True, slots=True)
class Belief:
    """A normal belief in one quantity."""

    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class Prior:
    """Beliefs in ln D20 (m²/s), ln S (m/s), start MC [%] and EMC offset [%], and where they come from."""

    ln_d: Belief
    ln_s: Belief
    start_mc_pct: Belief
    emc_offset_pct: Belief
    basis: str

    @property
    def beliefs(self) -> tuple[Belief, Belief, Belief, Belief]:
        return (self.ln_d, self.ln_s, self.start_mc_pct, self.emc_offset_pct)


@dataclass(frozen=True, slots=True)
class PosteriorSummary:
    """What a stack taught: beliefs after its observations, beside those before."""

    ln_d: Belief
    ln_s: Belief
    emc_offset_pct: Belief
    prior: Prior
    observations: int


def starting_prior(
    wood: str | Species,
    *,
    start_mc_pct: float | None = None,
    start_mc_sd_pct: float | None = None,
    shelter: float = 1.0,
) -> Prior:
    """Return the belief in a species before anything is measured.

    Parameters: `wood` key or Species; start_mc_pct [%] 5 to 250, None for green; start_mc_sd_pct [%] its
    spread, None for 10; `shelter` how freely the air moves.
    Source: data/drying_parameters.csv; spreads DRYING-START (chosen for this program).

    >>> starting_prior("oak-northern-red").start_mc_pct
    Belief(mean=80.0, sd=10.0)
    """
    known = drying_parameters(wood, shelter=shelter)
    start = known.start_mc_pct if start_mc_pct is None else start_mc_pct
    require_range("start MC", start, 5.0, 250.0, "%")
    spread = START_MC_SD_PCT if start_mc_sd_pct is None else start_mc_sd_pct
    require_range("spread of the start MC", spread, 0.1, 60.0, "%")
    return Prior(
        Belief(float(np.log(known.diffusivity_m2_s)), LN_D_SD),
        Belief(float(np.log(known.surface_m_s)), LN_S_SD),
        Belief(start, spread),
        Belief(0.0, EMC_OFFSET_SD_PCT),
        "published drying times" if known.basis == "fitted" else "published drying times of like woods",
    )


def learned_prior(starting: Prior, finished: Sequence[PosteriorSummary]) -> Prior:
    """Return the belief in the next stack, moved by a yard's finished stacks of that species and thickness.

    Half of the starting variance is taken to be common to the yard and learnt, half to differ from stack to
    stack and kept. Each stack counts by what its own observations taught beyond the prior it started from.
    Errors: none; without finished stacks the starting prior comes back.
    Source: normal hierarchical model with known variances (standard mathematics); the half is our choice.

    >>> before = starting_prior("oak-northern-red")
    >>> learned_prior(before, []) == before
    True
    """
    if not finished:
        return starting
    return Prior(
        _learned(starting.ln_d, [(one.ln_d, one.prior.ln_d) for one in finished]),
        _learned(starting.ln_s, [(one.ln_s, one.prior.ln_s) for one in finished]),
        starting.start_mc_pct,
        _learned(starting.emc_offset_pct, [(one.emc_offset_pct, one.prior.emc_offset_pct) for one in finished]),
        f"{len(finished)} finished stack{'s' if len(finished) > 1 else ''} of this yard",
    )


def _learned(starting: Belief, pairs: list[tuple[Belief, Belief]]) -> Belief:
    between = BETWEEN_STACKS_SHARE * starting.sd**2
    common = starting.sd**2 - between
    precision, pull = 1.0 / common, starting.mean / common
    for after, before in pairs:
        told = 1.0 / after.sd**2 - 1.0 / before.sd**2
        if told <= 1e-9:
            continue
        estimate = (after.mean / after.sd**2 - before.mean / before.sd**2) / told
        weight = 1.0 / (between + 1.0 / told)
        precision, pull = precision + weight, pull + weight * estimate
    return Belief(pull / precision, float(np.sqrt(1.0 / precision + between)))

"""The same equations where wetter wood lets water through more easily: an option, off by default.

D = D20 exp[B (min(M, F) - F)/100] varies from cell to cell, so the shared shapes of `diffusion.py` do not
serve; each stage solves one tridiagonal system a board, with D taken from the stage before.
"""

import numpy as np

from yard.wood.diffusion import (
    CELL_RATIO,
    LOWEST_EMC_PCT,
    SDIRK_AHEAD,
    SDIRK_GAMMA,
    Boards,
    Floats,
    March,
    grid,
)


def march_by_wetness(
    lot: Boards, profile_pct: Floats, edges_s: Floats, emc_pct: Floats, rows: Floats, exponent: float
) -> March:
    """Run every board through the air with D that rises with moisture, read at each edge of the steps.

    Parameters: as `diffusion.march`; `exponent` B, a unit of MC (0 gives what `march` gives).
    Returns: March.
    Source: exponential form SIMPSON-1993 (from memory); B about 13.4 between 2.5 and 18% MC for aspen at
    110 °F (SIMPSON-1974, abstract read).

    Check: with B 0 and the faces held, half of the evaporable water is left at D t/l² = 0.197 (CRANK-1975).

    >>> from yard.wood.diffusion import boards, step_edges
    >>> edges, lot = step_edges(0.197, 1.0), boards(1.0, 1.0, 1e6, 30.0)
    >>> emc, rows = np.full(len(edges) - 1, 10.0), grid().width[None, :]
    >>> run = march_by_wetness(lot, np.full((10, 1), 20.0), edges, emc, rows, 0.0)
    >>> round(float(run.readings[-1, 0, 0]), 1)
    15.0
    """
    solver = _Solver(lot, grid(len(profile_pct), CELL_RATIO).width[:, None], exponent)
    state = np.array(profile_pct, dtype=np.float64)
    readings = np.empty((len(edges_s), len(rows), len(lot)))
    readings[0] = rows @ state
    for number, step_s in enumerate(np.diff(edges_s)):
        emc = np.clip(emc_pct[number] + lot.emc_offset_pct, LOWEST_EMC_PCT, lot.fibre_saturation_pct)
        reach = SDIRK_GAMMA * float(step_s)
        half_way = solver.stage(state, state, emc, reach)
        state = solver.stage(SDIRK_AHEAD * half_way - (SDIRK_AHEAD - 1.0) * state, half_way, emc, reach)
        readings[number + 1] = rows @ state
    return March(readings, state)


class _Solver:
    """One implicit stage for all boards, cells leading."""

    def __init__(self, lot: Boards, width: Floats, exponent: float) -> None:
        self.lot, self.exponent = lot, exponent
        self.cell_m = width * lot.half_thickness_m
        self.apart_m = (self.cell_m[:-1] + self.cell_m[1:]) / 2

    def stage(self, right: Floats, wetness: Floats, emc: Floats, reach: float) -> Floats:
        """Solve x - reach f(x) = right, with D at the moisture `wetness`."""
        lot, cells = self.lot, len(right)
        bound = np.minimum(wetness, lot.fibre_saturation_pct) - lot.fibre_saturation_pct
        diffusivity = lot.diffusivity_m2_s * np.exp(self.exponent * bound / 100.0)
        # Between two cells the resistances of the halves add up.
        half = self.cell_m / (2.0 * diffusivity)
        between = reach / (half[:-1] + half[1:])
        inner, outer = between / self.cell_m[1:], between / self.cell_m[:-1]
        diagonal, x = np.empty_like(right), np.empty_like(right)
        diagonal[0], x[0] = 1.0 + outer[0], right[0]
        for n in range(1, cells):
            share = inner[n - 1] / diagonal[n - 1]
            diagonal[n] = 1.0 + inner[n - 1] + (outer[n] if n < cells - 1 else 0.0) - share * outer[n - 1]
            x[n] = right[n] + share * x[n - 1]
        x[-1] = self._face(x[-1] / diagonal[-1], reach / self.cell_m[-1] / diagonal[-1], half[-1], emc)
        for n in range(cells - 2, -1, -1):
            x[n] = (x[n] + outer[n] * x[n + 1]) / diagonal[n]
        return x

    def _face(self, sealed: Floats, response: Floats, half: Floats, emc: Floats) -> Floats:
        """The face cell once the flux is let out: the smaller of two straight lines in its own MC."""
        ease = 1.0 / (half + 1.0 / self.lot.surface_m_s)
        drying = ease * (sealed - emc) / (1.0 + ease * response)
        wet = self.lot.surface_m_s * (self.lot.fibre_saturation_pct - emc)
        return np.asarray(sealed - response * np.minimum(drying, wet))

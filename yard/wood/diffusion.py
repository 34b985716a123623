"""The equations of a drying board, solved for thousands of boards at once.

Half the thickness is cut into cells, centre to face, finer towards the face. Both the inside and the
surface speed up with temperature by the same factor r(T), so the run is taken in *warm time*: seconds
at 20 °C, the integral of r. In warm time nothing depends on temperature, the inside of every board has
the same eigenvectors, and a step costs a few passes over (cells x boards) numbers. Only the flux
through the face couples them: it is the smaller of two straight lines, so each implicit step is solved
exactly and mass is conserved. Time steps: two-stage, second-order, L-stable (SDIRK2), growing from the
start by doubling.

Everything here is SI with moisture content in percent; `drying.py` turns dates and inches into it.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Reals = NDArray[np.floating[Any]]

ACTIVATION_K = 5280.0
# K: temperature of the exponent of diffusion in wood. SIMPSON-1993 (form), from memory

REFERENCE_K = 293.15
# K: 20 °C, the temperature at which the rate constants are stated (our choice)

CELLS = 10
CELL_RATIO = 0.85
# each cell is this much thinner than its inner neighbour (our choice: analytic series within 0.008)

LOWEST_EMC_PCT = 0.2
# %: air this dry or drier is taken so (an offset must not make the air drier than bone dry)

SDIRK_GAMMA = 1.0 - 0.5**0.5
SDIRK_AHEAD = (1.0 - SDIRK_GAMMA) / SDIRK_GAMMA
# SDIRK2: ALEXANDER-1977, from memory (standard mathematics)


def temperature_factor(temp_f: Floats | float) -> Floats:
    """Return how fast drying goes at a temperature, against 20 °C (68 °F).

    Parameters: temp_f [°F], the wood's temperature, -60 to 260.
    Returns: r(T) = exp[-5280 (1/T - 1/293.15)], T in kelvin; 1 at 68 °F.
    Source: SIMPSON-1993, the form and 5280 K from memory (medium-high).

    >>> round(float(temperature_factor(68.0)), 3), round(float(temperature_factor(15.8)), 2)
    (1.0, 0.14)
    """
    kelvin = (np.asarray(temp_f, dtype=np.float64) - 32.0) / 1.8 + 273.15
    return np.asarray(np.exp(-ACTIVATION_K * (1.0 / kelvin - 1.0 / REFERENCE_K)))


@dataclass(frozen=True, eq=False)
class Grid:
    """The cells of a half thickness, centre first: `width` sums to 1."""

    width: Floats

    @property
    def depth(self) -> Floats:
        """The depth of each cell's centre under the face, as a share of the half thickness."""
        return np.asarray(1.0 - np.cumsum(self.width) + self.width / 2)

    def mean_weights(self) -> Floats:
        """Weights that turn a profile into the mean MC."""
        return self.width

    def layer_weights(self, shallow: float, deep: float) -> Floats:
        """Weights for the mean MC between two depths, shares of the half thickness (0 face, 1 centre)."""
        inner = np.concatenate([[1.0], 1.0 - np.cumsum(self.width)])
        top, bottom = inner[1:], inner[:-1]
        overlap = np.clip(np.minimum(bottom, deep) - np.maximum(top, shallow), 0.0, None)
        return np.asarray(overlap / overlap.sum())

    def depth_weights(self, depth: float) -> Floats:
        """Weights for the MC at one depth, straight between cell centres (share of the half thickness)."""
        centres = self.depth[::-1]
        weights = np.array([np.interp(depth, centres, row) for row in np.eye(len(centres))])
        return np.asarray(weights[::-1])


@lru_cache(maxsize=8)
def grid(cells: int = CELLS, ratio: float = CELL_RATIO) -> Grid:
    """Return the cells of a half thickness; ratio 1 makes them equal.

    >>> g = grid(10)
    >>> len(g.width), round(float(g.width.sum()), 12), bool(g.width[-1] < g.width[0])
    (10, 1.0, True)
    """
    width = ratio ** np.arange(cells)
    return Grid(width / width.sum())


@dataclass(frozen=True, eq=False)
class _Modes:
    """The diffusion operator of a grid, split into its own shapes (sealed centre and face)."""

    decay: Floats  # one a mode, times D/l²
    to_mc: Floats  # (cells, modes)
    from_mc: Floats  # (modes, cells)
    face: Floats  # the face cell's MC from the modes
    inflow: Floats  # what a unit flux through the face adds to each mode, times 1/l
    face_width: float


@lru_cache(maxsize=8)
def _modes(cells: int, ratio: float) -> _Modes:
    width = grid(cells, ratio).width
    conductance = 2.0 / (width[:-1] + width[1:])
    operator = np.zeros((cells, cells))
    for i, g in enumerate(conductance):
        operator[i : i + 2, i : i + 2] += g * np.array([[1.0, -1.0], [-1.0, 1.0]])
    root = np.sqrt(width)
    decay, shape = np.linalg.eigh(operator / np.outer(root, root))
    from_mc = (shape * root[:, None]).T
    to_mc = shape / root[:, None]
    return _Modes(np.maximum(decay, 0.0), to_mc, from_mc, to_mc[-1], from_mc[:, -1] / width[-1], float(width[-1]))


@dataclass(frozen=True, eq=False)
class Boards:
    """What is alike and unlike about the boards of one run; arrays hold one value a board."""

    half_thickness_m: Floats
    diffusivity_m2_s: Floats  # D at 20 °C
    surface_m_s: Floats  # S at 20 °C
    fibre_saturation_pct: Floats
    emc_offset_pct: Floats  # added to the EMC of the air

    def __len__(self) -> int:
        return len(self.diffusivity_m2_s)


def boards(
    half_thickness_m: Floats | float,
    diffusivity_m2_s: Floats | float,
    surface_m_s: Floats | float,
    fibre_saturation_pct: Floats | float,
    emc_offset_pct: Floats | float = 0.0,
) -> Boards:
    """Return Boards, every figure spread to the same number of boards.

    >>> len(boards(0.0127, np.array([3e-11, 4e-11]), 1.8e-8, 30.0))
    2
    """
    spread = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(one, dtype=np.float64)) for one in (
            half_thickness_m, diffusivity_m2_s, surface_m_s, fibre_saturation_pct, emc_offset_pct
        ))
    )  # fmt: skip
    return Boards(*spread)


FIRST_STEP, GROWTH, LONGEST_STEP = 2e-5, 0.25, 0.05
# of l²/D: first step, growth against elapsed warm time, longest step (our choice, by the error)


def step_edges(total_s: float, scale_s: float, longest: float = LONGEST_STEP) -> Floats:
    """Return the edges [s of warm time] of steps that double as they can, from 0 to `total_s`.

    Parameters: `scale_s` = l²/D of a typical board [s]; `longest` step as a share of it.

    >>> edges = step_edges(50.0, 100.0)
    >>> float(edges[0]), float(edges[-1]), round(float(np.diff(edges).max()), 9)
    (0.0, 50.0, 5.0)
    """
    if total_s <= 0.0:
        return np.zeros(1)
    smallest, largest = FIRST_STEP * scale_s, longest * scale_s
    edges = [0.0]
    while total_s - edges[-1] > 1e-9 * total_s:
        free = max(smallest, GROWTH * edges[-1])
        step = largest if free >= largest else smallest * 2.0 ** int(np.log2(free / smallest))
        edges.append(min(edges[-1] + step, total_s))
    return np.array(edges)


@dataclass(frozen=True, eq=False)
class March:
    """A run: `readings` (edges, rows, boards) at every edge, and the profile [% MC] at the end."""

    readings: Reals
    profile_pct: Reals  # (cells, boards)


def march(
    lot: Boards,
    profile_pct: Reals,
    edges_s: Floats,
    emc_pct: Floats,
    rows: Floats,
    *,
    single: bool = False,
    ratio: float = CELL_RATIO,
) -> March:
    """Run every board through the air and read it at each edge of the steps.

    Parameters: `lot` the boards; `profile_pct` (cells, boards) MC at the start [%], centre first;
    `edges_s` edges of the steps in warm time [s], rising; `emc_pct` (steps,) mean EMC of each step [%],
    or (steps, groups) where equal blocks of boards stand in different air; `rows` (readings, cells)
    weights; `single` works in single precision (twice as fast, within 0.01% MC).
    Returns: March.
    Source: science of the yard's drying model: Fick's second law with a surface resistance and the
    surface held at fibre saturation while free water lasts (CRANK-1975, SIMPSON-1993; from memory).

    Check: with its faces held, half of the evaporable water is left at D t/l² = 0.197 (CRANK-1975).

    >>> edges = step_edges(0.197, 1.0)
    >>> lot = boards(1.0, 1.0, 1e6, 30.0)
    >>> run = march(lot, np.full((10, 1), 20.0), edges, np.full(len(edges) - 1, 10.0), grid().width[None, :])
    >>> round(float(run.readings[-1, 0, 0]), 1)
    15.0
    """
    dtype: Any = np.float32 if single else np.float64
    cells = len(profile_pct)
    modes = _modes(cells, ratio)
    state = (modes.from_mc @ profile_pct).astype(dtype)
    view = (rows @ modes.to_mc).astype(dtype)
    readings = np.empty((len(edges_s), len(view), len(lot)), dtype)
    np.matmul(view, state, out=readings[0])
    walker = _Walker(modes, lot, state, dtype)
    for number, step_s in enumerate(np.diff(edges_s)):
        walker.step(float(step_s), emc_pct[number])
        np.matmul(view, walker.state, out=readings[number + 1])
    return March(readings, modes.to_mc.astype(dtype) @ walker.state)


class _Walker:
    """The state of all boards, moved on in place step by step with no new arrays."""

    def __init__(self, modes: _Modes, lot: Boards, state: Reals, dtype: Any) -> None:
        self.modes, self.lot, self.state, self.dtype = modes, lot, state, dtype
        self.face = modes.face.astype(dtype)[None, :]
        self.surface = lot.surface_m_s.astype(dtype)
        self.offset = lot.emc_offset_pct.astype(dtype)
        self.saturation = lot.fibre_saturation_pct.astype(dtype)
        self.work, self.spare = np.empty_like(state), np.empty_like(state)
        self.emc, self.most, self.flux = (np.empty(len(lot), dtype) for _ in range(3))
        self.face_pct = np.empty((1, len(lot)), dtype)
        self.step_s = 0.0

    def step(self, step_s: float, emc_pct: Reals) -> None:
        """Move on by one step of warm time in air of this EMC (one figure, or one a block of boards)."""
        if abs(step_s - self.step_s) > 1e-9 * step_s:
            self._prepare(step_s)
        blocks: Reals = np.atleast_1d(emc_pct).astype(self.dtype)[:, None]
        np.add(self.offset.reshape(len(blocks), -1), blocks, out=self.emc.reshape(len(blocks), -1))
        np.clip(self.emc, LOWEST_EMC_PCT, self.saturation, out=self.emc)
        np.subtract(self.saturation, self.emc, out=self.most)
        self.most *= self.surface
        np.multiply(self.state, self.damp, out=self.work)
        self._let_out(self.work)
        self.work *= self.dtype(SDIRK_AHEAD)
        self.state *= self.dtype(SDIRK_AHEAD - 1.0)
        np.subtract(self.work, self.state, out=self.state)
        self.state *= self.damp
        self._let_out(self.state)

    def _prepare(self, step_s: float) -> None:
        lot, modes, reach = self.lot, self.modes, SDIRK_GAMMA * step_s
        damp: Floats = 1.0 / (1.0 + modes.decay[:, None] * (reach * lot.diffusivity_m2_s / lot.half_thickness_m**2))
        inflow: Floats = modes.inflow[:, None] * damp * (reach / lot.half_thickness_m)
        half_cell_m = 0.5 * modes.face_width * lot.half_thickness_m
        ease: Floats = 1.0 / (half_cell_m / lot.diffusivity_m2_s + 1.0 / lot.surface_m_s)
        self.damp, self.inflow = damp.astype(self.dtype), inflow.astype(self.dtype)
        self.ease = (ease / (1.0 + ease * (modes.face @ inflow))).astype(self.dtype)
        self.step_s = step_s

    def _let_out(self, state: Reals) -> None:
        """Take the flux through the face [% MC m/s] out of a stage that was solved as if sealed."""
        np.matmul(self.face, state, out=self.face_pct)
        np.subtract(self.face_pct[0], self.emc, out=self.flux)
        self.flux *= self.ease
        np.minimum(self.flux, self.most, out=self.flux)
        np.multiply(self.inflow, self.flux, out=self.spare)
        state -= self.spare

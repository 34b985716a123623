"""Heat spreading through the cross-section of a board, minute by minute, frozen or not.

A quarter of the section is cut into cells. As long as nothing freezes or melts the equations are linear, and the
section's own shapes fade exactly, each at its own pace; while ice melts, the heat content of each cell is followed
in short steps. Works in °F for temperature differences and SI for the rest.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from kilns.physics.wood_heat import WoodHeat

Floats = NDArray[np.float64]

FREEZING_F = 32.0
K_PER_F = 1.0 / 1.8
CELLS = 12
# cells across each half (our choice: within 1% of the series from a tenth of the way on)
NO_FILM_W_M2_K = 1.0e6
# W/(m² K): a film so good that the face has the medium's temperature
STABLE = 0.2
# of the shortest time of a cell: length of a step while ice melts (our choice; 0.5 is the limit)


class CrossSection:
    """The temperatures of a board's cross-section, moved on in place by `advance`."""

    def __init__(
        self,
        heat: WoodHeat,
        thickness_m: float,
        width_m: float,
        *,
        start_f: float,
        film_w_m2_k: float = NO_FILM_W_M2_K,
    ) -> None:
        """Begin at an even temperature; below freezing all free water is ice."""
        self.heat = heat
        self.sizes_m = (thickness_m / 2, width_m / 2)
        self.film_w_m2_k = film_w_m2_k
        melted = heat.fusion_j_m3 if start_f > FREEZING_F else 0.0
        first = (start_f - FREEZING_F) * K_PER_F * heat.capacity_j_m3_k + melted
        self.content_j_m3: Floats = np.full((CELLS, CELLS), first)

    @property
    def temps_f(self) -> Floats:
        """The temperature of every cell [°F], core first."""
        heat = self.heat
        above = np.maximum(self.content_j_m3 - heat.fusion_j_m3, 0.0)
        below = np.minimum(self.content_j_m3, 0.0)
        return np.asarray(FREEZING_F + (above + below) / heat.capacity_j_m3_k / K_PER_F)

    @property
    def core_f(self) -> float:
        """The temperature in the middle [°F], carried from the first cells to the centre."""
        near = self.temps_f[:2, :2]
        one, two = near[0, 0], near[1, 1]
        return float(one + (one - two) / 8.0)

    @property
    def melting(self) -> bool:
        """Whether any cell is between ice and water."""
        inside = (self.content_j_m3 > 0.0) & (self.content_j_m3 < self.heat.fusion_j_m3)
        return bool(inside.any())

    def advance(self, seconds: float, medium_f: float) -> float:
        """Move on in a medium of steady temperature [°F]; returns the core's temperature [°F]."""
        return float(self.advance_through(np.array([seconds]), np.array([medium_f]))[0])

    def advance_through(self, seconds: Floats, mediums_f: Floats) -> Floats:
        """Move on through a row of media, each steady for its seconds; returns the core [°F] after each."""
        core, place = np.empty(len(seconds)), 0
        while place < len(seconds):
            ahead = self._linear_steps(mediums_f[place:])
            if ahead:
                many = slice(place, place + ahead)
                core[many] = self._linear(seconds[many], mediums_f[many])
            else:
                ahead = 1
                self._melting(float(seconds[place]), float(mediums_f[place]))
                core[place] = self.core_f
            place += ahead
        return core

    def _linear_steps(self, mediums_f: Floats) -> int:
        """How many of the steps ahead can neither freeze nor melt anything."""
        if self.heat.fusion_j_m3 == 0.0:
            return len(mediums_f)
        if self.content_j_m3.min() >= self.heat.fusion_j_m3:
            other = mediums_f < FREEZING_F
        elif self.content_j_m3.max() <= 0.0:
            other = mediums_f > FREEZING_F
        else:
            return 0
        return int(np.argmax(other)) if other.any() else len(mediums_f)

    def _linear(self, seconds: Floats, mediums_f: Floats) -> Floats:
        """Exact steps in the section's own shapes, which decay each at its own pace."""
        melted = self.heat.fusion_j_m3 if self.content_j_m3.min() >= self.heat.fusion_j_m3 > 0.0 else 0.0
        across, along = (self._shapes(size) for size in self.sizes_m)
        decay = across.decay[:, None] + along.decay[None, :]
        even = np.outer(across.of_one, along.of_one)
        near = (9.0 * np.outer(across.shape[0], along.shape[0]) - np.outer(across.shape[1], along.shape[1])) / 8.0
        medium, parts = float(mediums_f[0]), across.shape.T @ (self.temps_f - mediums_f[0]) @ along.shape
        core, last_s, fade = np.empty(len(seconds)), -1.0, np.ones_like(parts)
        for place, (span_s, now_f) in enumerate(zip(seconds.tolist(), mediums_f.tolist(), strict=True)):
            if span_s != last_s:
                fade, last_s = np.exp(-decay * span_s), span_s
            parts = (parts + even * (medium - now_f)) * fade
            medium = now_f
            core[place] = medium + float(np.vdot(near, parts))
        temps = medium + across.shape @ parts @ along.shape.T
        self.content_j_m3 = (temps - FREEZING_F) * K_PER_F * self.heat.capacity_j_m3_k + melted
        return core

    def _shapes(self, half_m: float) -> "_Shapes":
        return _shapes(half_m, self.heat.diffusivity_m2_s, self.heat.conductivity_w_m_k, self.film_w_m2_k)

    def _melting(self, seconds: float, medium_f: float) -> None:
        cells_m = [half / CELLS for half in self.sizes_m]
        fastest = sum(2.0 / size**2 for size in cells_m) * self.heat.diffusivity_m2_s
        steps = max(1, int(np.ceil(seconds * fastest / (2 * STABLE))))
        faces = [_face_w_m2_k(size, self.heat.conductivity_w_m_k, self.film_w_m2_k) for size in cells_m]
        for _ in range(steps):
            temps_c = (self.temps_f - FREEZING_F) * K_PER_F
            medium_c = (medium_f - FREEZING_F) * K_PER_F
            gain = _inflow(temps_c, medium_c, cells_m[0], faces[0], self.heat.conductivity_w_m_k)
            gain += _inflow(temps_c.T, medium_c, cells_m[1], faces[1], self.heat.conductivity_w_m_k).T
            self.content_j_m3 = self.content_j_m3 + gain * (seconds / steps)


def _face_w_m2_k(cell_m: float, conductivity: float, film: float) -> float:
    """From the middle of the outermost cell to the medium: half a cell and the film, one after the other."""
    return 1.0 / (cell_m / (2.0 * conductivity) + 1.0 / film)


def _inflow(temps_c: Floats, medium_c: float, cell_m: float, face: float, conductivity: float) -> Floats:
    """Heat into each cell along the first axis [W/m³]; the middle is a mirror."""
    flux = np.zeros((len(temps_c) + 1, temps_c.shape[1]))
    flux[1:-1] = conductivity / cell_m * np.diff(temps_c, axis=0)
    flux[-1] = face * (medium_c - temps_c[-1])
    return np.asarray(np.diff(flux, axis=0) / cell_m)


@dataclass(frozen=True, eq=False)
class _Shapes:
    """The shapes in which a half section cools, one a column, and how fast each fades [1/s]."""

    decay: Floats
    shape: Floats
    of_one: Floats  # how much of each is in an even temperature


@lru_cache(maxsize=64)
def _shapes(half_m: float, diffusivity: float, conductivity: float, film: float) -> _Shapes:
    cell_m = half_m / CELLS
    link = diffusivity / cell_m**2
    rates = np.zeros((CELLS, CELLS))
    for first in range(CELLS - 1):
        rates[first : first + 2, first : first + 2] += link * np.array([[1.0, -1.0], [-1.0, 1.0]])
    rates[-1, -1] += _face_w_m2_k(cell_m, conductivity, film) / cell_m * diffusivity / conductivity
    decay, shape = np.linalg.eigh(rates)
    return _Shapes(decay, shape, shape.sum(axis=0))

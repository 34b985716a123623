"""One board from the saw to dry: a run through any air, and days to a target in a place's climate.

    course = dry("oak-northern-red", 2.0, air(temps_f, emc_pct=emcs))      # a run, read step by step
    course = dry("oak-northern-red", 2.0, yard_air.then(kiln_air), start_mc_pct=72)
    air_drying_days("oak-northern-red", 1.0, "WI-Madison", date(2025, 6, 1))

The equations are in `diffusion.py`, the air in `air_history.py`, the constants in `drying_parameters.py`;
what a yard's own weighings make of it is in `estimate.py`. Outside the model: rain, sun, drying through
the ends, and what a wet or dry skin does.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from yard.wood.air_history import SECONDS_A_DAY, Air, WarmTime, air, warm_time
from yard.wood.climate import city as built_in_city
from yard.wood.climate import daily_climate
from yard.wood.diffusion import (
    LONGEST_STEP,
    Boards,
    Floats,
    Grid,
    boards,
    grid,
    march,
    step_edges,
)
from yard.wood.diffusion_by_wetness import march_by_wetness
from yard.wood.drying_parameters import DryingParameters, drying_parameters
from yard.wood.moisture import equilibrium_mc_pct
from yard.wood.ranges import OutsideRange, require_range
from yard.wood.species import Species

__all__ = [
    "Air", "DryingCourse", "air", "air_drying_days", "air_from_humidity", "dry", "layer_rows", "warm_steps",
]  # fmt: skip

M_PER_IN = 0.0254
# exact, international inch

THINNEST_IN, THICKEST_IN = 0.25, 6.0
# in: boards the program handles; 4/4 to 16/4 is what it was checked for

START_MC_PCT = (5.0, 250.0)
# %: the wettest published green MC of the species table is 249 (western redcedar sapwood)

SHELL_SHARE = 0.25
# of the thickness, at each face; the core is the inner half. AH-188 (shell and core sections), from memory

STEP_WARM_DAYS = 0.25
# longest step, days at 20 °C for an inch of thickness (our choice: within 0.3% MC of LSODA for the quickest woods)


def air_from_humidity(temp_f: ArrayLike, rh_pct: ArrayLike, step_days: ArrayLike = 1.0) -> Air:
    """Return Air from temperature and relative humidity, each averaged over its step first.

    Parameters: temp_f [°F] -60 to 260; rh_pct [%] 0 to 100.
    Source: WH-GTR190 Eq. 4-5 through `moisture.equilibrium_mc_pct`.

    >>> air_from_humidity([70.0], [50.0]).emc_pct.round(1).tolist()
    [9.2]
    """
    temps = np.atleast_1d(np.asarray(temp_f, dtype=np.float64))
    emc = equilibrium_mc_pct(temps, np.asarray(rh_pct, dtype=np.float64))
    return air(temps, emc_pct=emc, step_days=step_days)


def layer_rows(cells: Grid) -> Floats:
    """Return the weights that read mean, shell and core MC off a profile, one row each.

    >>> layer_rows(grid()).sum(axis=1).round(9).tolist()
    [1.0, 1.0, 1.0]
    """
    edge = 2 * SHELL_SHARE
    return np.array([cells.mean_weights(), cells.layer_weights(0.0, edge), cells.layer_weights(edge, 1.0)])


def longest_step_s(half_thickness_m: float, diffusivity_m2_s: float, warm_days: float) -> float:
    """Return the longest step [s of warm time]: so many days at 20 °C an inch, and a share of l²/D.

    >>> longest_step_s(0.0127, 3e-11, 0.5)
    43200.0
    """
    thickness_in = max(1.0, 2 * half_thickness_m / M_PER_IN)
    return min(LONGEST_STEP * half_thickness_m**2 / diffusivity_m2_s, warm_days * thickness_in * SECONDS_A_DAY)


def warm_steps(total_s: float, half_thickness_m: float, diffusivity_m2_s: float, warm_days: float) -> Floats:
    """Return the edges of a run's steps [s of warm time] from a fresh start, none longer than allowed.

    >>> warm_steps(10 * SECONDS_A_DAY, 0.0127, 3e-11, 0.5)[[0, -1]].tolist()
    [0.0, 864000.0]
    """
    scale_s = half_thickness_m**2 / diffusivity_m2_s
    longest_s = longest_step_s(half_thickness_m, diffusivity_m2_s, warm_days)
    return step_edges(total_s, scale_s, longest_s / scale_s)


@dataclass(frozen=True, eq=False)
class DryingCourse:
    """A run read at every edge of the air's steps: `day` since the start, and MC [%] at each.

    `frozen` has one mark a step of air; `profile_pct` is the MC from centre to face at the end, so a
    later run can go on from it.
    """

    day: Floats
    mean_pct: Floats
    shell_pct: Floats
    core_pct: Floats
    frozen: NDArray[np.bool_]
    profile_pct: Floats
    parameters: DryingParameters

    def days_to(self, target_mc_pct: float) -> float:
        """Return the days until the mean MC first is at the target [%].

        Errors: OutsideRange when the run ends before that.
        """
        under = np.flatnonzero(self.mean_pct <= target_mc_pct)
        if not len(under):
            raise OutsideRange(
                "target MC", target_mc_pct, round(float(self.mean_pct.min()), 1), None, "%",
                f"The run of {self.day[-1]:.0f} days does not bring the wood there.",
            )  # fmt: skip
        after = int(under[0])
        if after == 0:
            return 0.0
        wet, dry_ = self.mean_pct[after - 1], self.mean_pct[after]
        share = (wet - target_mc_pct) / (wet - dry_)
        return float(self.day[after - 1] + share * (self.day[after] - self.day[after - 1]))


def dry(
    wood: str | Species,
    thickness_in: float,
    history: Air,
    *,
    start_mc_pct: float | None = None,
    profile_pct: Floats | None = None,
    parameters: DryingParameters | None = None,
    emc_offset_pct: float = 0.0,
    shelter: float = 1.0,
    frozen_stop: bool = False,
    wetness_exponent: float = 0.0,
) -> DryingCourse:
    """Run a board of a species through a history of air.

    Parameters: `wood` key or Species; thickness_in [in] 0.25 to 6; `history` the air from the start;
    start_mc_pct [%] 5 to 250, None for the species' green MC; profile_pct [%] centre to face to go on from
    an earlier run; `parameters` other rate constants; emc_offset_pct [%] -10 to 10 added to the air's EMC;
    `shelter` 0.05 to 5 slows or speeds the surface; `frozen_stop` stops drying below 32 °F;
    wetness_exponent 0 to 20 lets drier wood conduct less (B of `diffusion_by_wetness`).
    Returns: DryingCourse with MC [%] at every edge of the air's steps.
    Errors: UnknownSpecies, OutsideRange.
    Source: Fick's law in one dimension with a surface resistance (CRANK-1975), r(T) of SIMPSON-1993.

    >>> course = dry("oak-northern-red", 1.0, air([70.0] * 40, emc_pct=12.0))
    >>> bool(course.core_pct[-1] > course.mean_pct[-1] > course.shell_pct[-1] > 12.0)
    True
    """
    require_range("thickness", thickness_in, THINNEST_IN, THICKEST_IN, "in")
    require_range("EMC offset", emc_offset_pct, -10.0, 10.0, "%")
    used = parameters or drying_parameters(wood, shelter=shelter)
    start = used.start_mc_pct if start_mc_pct is None else start_mc_pct
    require_range("start MC", start, *START_MC_PCT, "%")
    clock, half_m = warm_time(history, frozen_stop=frozen_stop), thickness_in * M_PER_IN / 2
    lot = boards(half_m, used.diffusivity_m2_s, used.surface_m_s, used.fibre_saturation_pct, emc_offset_pct)
    profile = np.full((len(grid().width), 1), start) if profile_pct is None else profile_pct.reshape(-1, 1)
    require_range("wetness exponent", wetness_exponent, 0.0, 20.0)
    layers, end = _read_at_edges(lot, profile, clock, wetness_exponent)
    mean, shell, core = layers
    return DryingCourse(clock.day_edges, mean, shell, core, history.frozen, end, used)


def _read_at_edges(lot: Boards, profile: Floats, clock: WarmTime, wetness_exponent: float) -> tuple[Floats, Floats]:
    """Return mean, shell and core MC (3, edges) of a single board, and its last profile."""
    half_m, diffusivity = float(lot.half_thickness_m[0]), float(lot.diffusivity_m2_s[0])
    edges = warm_steps(clock.total_s, half_m, diffusivity, STEP_WARM_DAYS)
    emc, rows = clock.mean_emc_pct(edges), layer_rows(grid())
    if wetness_exponent:
        run = march_by_wetness(lot, profile, edges, emc, rows, wetness_exponent)
    else:
        run = march(lot, profile, edges, emc, rows)
    read = [np.interp(clock.warm_edges_s, edges, run.readings[:, row, 0]) for row in range(3)]
    return np.array(read), np.asarray(run.profile_pct[:, 0])


LONGEST_RUN_DAYS = (1100, 7320)
# days: three years, and twenty when that is too short (our own limits)


def air_drying_days(
    species: str | Species,
    thickness_in: float,
    city: str,
    start: date,
    target_mc_pct: float = 20.0,
    start_mc_pct: float | None = None,
) -> float:
    """Return the days a board takes to a mean MC outdoors, in the ordinary climate of a built-in place.

    Parameters: `species` key or Species; thickness_in [in] 0.25 to 6; `city` as "WI-Madison"; `start` the day
    it was stickered; target_mc_pct [%] 4 to 100; start_mc_pct [%], None for the species' green MC.
    Returns: days [d], 0 when it starts below the target.
    Errors: UnknownPlace; UnknownSpecies; OutsideRange, also when twenty years of that air do not bring it there.
    Source: the drying model with D fitted to TN-233 table 1 (from memory); city climate from memory.
    Check: northern red oak 1 in at Madison, 60 days when stacked in June, within 20%.

    >>> 48 < air_drying_days("oak-northern-red", 1.0, "WI-Madison", date(2025, 6, 1)) < 72
    True
    """
    require_range("target MC", target_mc_pct, 4.0, 100.0, "%")
    climate = built_in_city(city).climate
    for days in LONGEST_RUN_DAYS:
        normal = daily_climate(climate, start, days)
        course = dry(
            species,
            thickness_in,
            air_from_humidity(normal.temp_f, normal.rh_pct),
            start_mc_pct=start_mc_pct,
        )
        if course.mean_pct.min() <= target_mc_pct:
            break
    return course.days_to(target_mc_pct)

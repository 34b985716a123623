"""The ensemble run through the air that has been, and on through the weathers that may come."""

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from yard.wood.air_history import Air, WarmTime, air, warm_time
from yard.wood.diffusion import Boards, Floats, boards, grid, march
from yard.wood.drying import M_PER_IN, START_MC_PCT, layer_rows, longest_step_s, warm_steps
from yard.wood.future_weather import FutureWeather
from yard.wood.moisture import equilibrium_mc_pct
from yard.wood.observations import Observation, PinReading, days_between
from yard.wood.ranges import OutsideRange

Reals = NDArray[np.floating[Any]]

STEP_WARM_DAYS, QUICK_M2_S = 0.5, 1e-10
# longest step of the ensemble, days at 20 °C for an inch of thickness; half of it for woods with a D over this, which
# follow each day's air (our choice: the middle member within 0.3% MC of LSODA, the quickest in thousands within 0.5)

AHEAD_STEP_WARM_DAYS = 1.0
# longest step through weather to come, which is drawn and not known: within 0.7% MC of LSODA (our choice)

LONGEST_FUTURE_DAYS = 1830
# five years: beyond it a ready date is not worth a promise (our own limit)

PIECE_STEPS, ENOUGH_SHARE = 32, 0.98
# the future is run in pieces until this share of the members is at the lowest target (our choice)

MEAN, SHELL, CORE = 0, 1, 2


@dataclass(frozen=True, eq=False)
class Cohort:
    """What the members of an ensemble have in common."""

    thickness_in: float
    fibre_saturation_pct: float
    typical_d_m2_s: float
    start: date
    frozen_stop: bool

    @property
    def half_m(self) -> float:
        """Half the thickness [m]."""
        return self.thickness_in * M_PER_IN / 2

    def lot(self, theta: Floats) -> Boards:
        """The boards of members (4, members)."""
        return boards(self.half_m, np.exp(theta[0]), np.exp(theta[1]), self.fibre_saturation_pct, theta[3])


@dataclass(frozen=True, eq=False)
class PastRun:
    """Every member from the start to now; answers what an observation would have read."""

    cohort: Cohort
    clock: WarmTime
    edges_s: Floats
    readings: Reals  # (edges, rows, members)
    profile_pct: Reals
    depths_in: tuple[float, ...]

    @property
    def days(self) -> float:
        """Days from the start to now."""
        return float(self.clock.day_edges[-1])

    def day(self, when: date) -> float:
        return float(np.clip(days_between(self.cohort.start, when), 0.0, self.days))

    def mean_at(self, day: float) -> Reals:
        return self._row_at(MEAN, day)

    def local_at(self, depth_in: float, day: float) -> Reals:
        return self._row_at(3 + self.depths_in.index(depth_in), day)

    def now(self, row: int) -> Reals:
        """Mean, shell or core MC [%] of each member now."""
        return np.asarray(self.readings[-1, row])

    def _row_at(self, row: int, day: float) -> Reals:
        after, share = self._place(self.clock.at(day))
        before, later = self.readings[after - 1, row], self.readings[after, row]
        return np.asarray((1.0 - share) * before + share * later)

    def _place(self, warm_s: Floats) -> tuple[int, float]:
        if len(self.edges_s) < 2:
            return 0, 0.0
        after = int(np.clip(np.searchsorted(self.edges_s, warm_s), 1, len(self.edges_s) - 1))
        before_s, after_s = self.edges_s[after - 1], self.edges_s[after]
        return after, float(np.clip((warm_s - before_s) / (after_s - before_s), 0.0, 1.0))

    def means_by_day(self, days: Floats, members: NDArray[np.intp]) -> Reals:
        """Mean MC [%] (days, members) of some members."""
        return _by_time(self.edges_s, self.readings[:, MEAN, members], self.clock.at(days))


def run_past(cohort: Cohort, history: Air, theta: Floats, observed: list[Observation]) -> PastRun:
    """Run members (4, members) from the start of a cohort to the end of its air history.

    >>> cohort = Cohort(1.0, 30.0, 3e-11, date(2025, 6, 1), frozen_stop=False)
    >>> theta = np.array([[np.log(3e-11)], [np.log(1.8e-8)], [80.0], [0.0]])
    >>> past = run_past(cohort, air([68.0] * 30, emc_pct=12.0), theta, [])
    >>> bool(12 < past.now(SHELL)[0] < past.now(MEAN)[0] < past.now(CORE)[0] < 80)
    True
    """
    depths = tuple(sorted({one.depth_in for one in observed if isinstance(one, PinReading)} | {pin_depth_in(cohort)}))
    cells = grid()
    rows = np.vstack([
        layer_rows(cells),
        *(cells.depth_weights(min(1.0, depth / (cohort.thickness_in / 2)))[None, :] for depth in depths),
    ])  # fmt: skip
    clock = warm_time(history, frozen_stop=cohort.frozen_stop)
    warm_days = STEP_WARM_DAYS / 2 if cohort.typical_d_m2_s > QUICK_M2_S else STEP_WARM_DAYS
    edges = warm_steps(clock.total_s, cohort.half_m, cohort.typical_d_m2_s, warm_days)
    start = np.clip(theta[2], *START_MC_PCT)
    profile = np.broadcast_to(start, (len(cells.width), theta.shape[1]))
    run = march(cohort.lot(theta), profile, edges, clock.mean_emc_pct(edges), rows, single=True)
    return PastRun(cohort, clock, edges, run.readings, run.profile_pct, depths)


def pin_depth_in(cohort: Cohort) -> float:
    """The depth [in] at which a pin reads about the mean: a fifth to a quarter of the thickness.

    Source: PIN-DEPTH (from memory); 0.211 of it for a parabola (mathematics).

    >>> pin_depth_in(Cohort(2.0, 30.0, 3e-11, date(2025, 6, 1), frozen_stop=False))
    0.44
    """
    return round(0.22 * cohort.thickness_in, 3)


@dataclass(frozen=True, eq=False)
class FutureAir:
    """Weathers that may come, (traces, days) from today on: temperature [°F] and EMC [%] of each day."""

    temp_f: Floats
    emc_pct: Floats

    def __post_init__(self) -> None:
        if self.temp_f.ndim != 2 or self.temp_f.shape != self.emc_pct.shape or not self.temp_f.size:
            raise ValueError("future air needs two arrays of the same shape, traces by days")
        if self.temp_f.shape[1] > LONGEST_FUTURE_DAYS:
            raise OutsideRange("days of future air", self.temp_f.shape[1], 1, LONGEST_FUTURE_DAYS, "days")

    @property
    def days(self) -> int:
        """How far ahead it reaches [days]."""
        return int(self.temp_f.shape[1])

    @property
    def traces(self) -> int:
        """How many weathers there are."""
        return int(self.temp_f.shape[0])


def future_air(weather: FutureWeather) -> FutureAir:
    """Return FutureAir from possible weathers (members by days) of temperature and humidity.

    >>> from yard.wood.climate import city
    >>> from yard.wood.future_weather import future_weather
    >>> climate = city("WI-Madison").climate
    >>> future_air(future_weather(climate, date(2025, 1, 1), 365, 4, seed=1)).emc_pct.shape
    (4, 365)
    """
    return FutureAir(weather.temp_f, equilibrium_mc_pct(weather.temp_f, weather.rh_pct))


@dataclass(frozen=True, eq=False)
class FutureRun:
    """Equally likely members run on through the weathers; equal blocks of members share one."""

    clocks: tuple[WarmTime, ...]
    edges_s: Floats
    means: Reals  # (edges, members)

    @property
    def block(self) -> int:
        """How many members share a weather."""
        return int(self.means.shape[1]) // len(self.clocks)

    def days_to(self, target_pct: float) -> Floats:
        """Days from now until each member's mean is at the target; infinite within the horizon if not."""
        under = self.means <= target_pct
        reached = under.any(axis=0)
        after = np.argmax(under, axis=0)
        column = np.arange(self.means.shape[1])
        before = np.maximum(after - 1, 0)
        wet, dry = self.means[before, column], self.means[after, column]
        share = np.clip((wet - target_pct) / np.maximum(wet - dry, 1e-9), 0.0, 1.0)
        warm = self.edges_s[before] + share * (self.edges_s[after] - self.edges_s[before])
        days = np.where(after == 0, 0.0, self._days(warm))
        return np.where(reached & (days < self.clocks[0].day_edges[-1]), days, np.inf)

    def days_run(self) -> int:
        """How many whole days all weathers were run."""
        return int(min(clock.day(self.edges_s[-1]) for clock in self.clocks))

    def driest_emc_pct(self) -> float:
        """The EMC that the last year of the air to come tends to, weighted by how fast wood moves [%]."""
        found = []
        for clock in self.clocks:
            since = float(clock.at(max(0.0, clock.day_edges[-1] - 365.0)))
            found.append(float(clock.mean_emc_pct(np.array([since, clock.total_s]))[0]))
        return float(np.mean(found))

    def _days(self, warm_s: Floats) -> Floats:
        blocks = warm_s.reshape(len(self.clocks), -1)
        beyond = [
            np.where(part > clock.total_s, np.inf, clock.day(part))
            for clock, part in zip(self.clocks, blocks, strict=True)
        ]
        return np.concatenate(beyond)

    def means_by_day(self, days: Floats, stride: int) -> Reals:
        """Mean MC [%] (days, members) of every so-manieth member."""
        parts = [
            _by_time(self.edges_s, self.means[:, n * self.block : (n + 1) * self.block : stride], clock.at(days))
            for n, clock in enumerate(self.clocks)
        ]
        return np.concatenate(parts, axis=1)


def run_future(
    cohort: Cohort, theta: Floats, profile_pct: Reals, future: FutureAir, lowest_target_pct: float
) -> FutureRun:
    """Run members on from a profile until nearly all are at the lowest target, or to the horizon.

    >>> cohort = Cohort(1.0, 30.0, 3e-11, date(2025, 6, 1), frozen_stop=False)
    >>> theta = np.array([[np.log(3e-11)], [np.log(1.8e-8)], [30.0], [0.0]])
    >>> steady = FutureAir(np.full((1, 300), 68.0), np.full((1, 300), 12.0))
    >>> found = run_future(cohort, theta, np.full((10, 1), 30.0), steady, 20.0)
    >>> bool(5 < found.days_to(25.0)[0] < found.days_to(20.0)[0] < 100)
    True
    """
    clocks = tuple(
        warm_time(air(temp, emc_pct=emc), frozen_stop=cohort.frozen_stop)
        for temp, emc in zip(future.temp_f, future.emc_pct, strict=True)
    )
    lot, rows, profile = cohort.lot(theta), grid().mean_weights()[None, :], profile_pct
    total_s = max(clock.total_s for clock in clocks)
    step_s = longest_step_s(cohort.half_m, cohort.typical_d_m2_s, AHEAD_STEP_WARM_DAYS)
    edges = np.linspace(0.0, total_s, max(2, int(np.ceil(total_s / step_s)) + 1))
    emc = np.array([clock.mean_emc_pct(edges) for clock in clocks]).T
    done: list[Reals] = []
    first = 0
    while first < len(edges) - 1:
        last = min(first + PIECE_STEPS, len(edges) - 1)
        run = march(lot, profile, edges[first : last + 1], emc[first:last], rows, single=True)
        profile = run.profile_pct
        done.append(run.readings[1 if done else 0 :, 0])
        first = last
        if (done[-1][-1] <= lowest_target_pct).mean() >= ENOUGH_SHARE:
            break
    means = np.concatenate(done)
    return FutureRun(clocks, edges[: len(means)], means)


def _by_time(edges_s: Floats, values: Reals, warm_s: Floats) -> Reals:
    """Values (edges, members) at warm times, straight between the edges."""
    if len(edges_s) < 2:
        return np.repeat(values[:1], len(warm_s), axis=0)
    after = np.clip(np.searchsorted(edges_s, warm_s), 1, len(edges_s) - 1)
    span = edges_s[after] - edges_s[after - 1]
    share = np.clip((warm_s - edges_s[after - 1]) / span, 0.0, 1.0).astype(values.dtype)[:, None]
    return (1 - share) * values[after - 1] + share * values[after]

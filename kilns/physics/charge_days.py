"""How many days a charge takes: the drying model in the kiln's own air, held under the safe rate."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kilns.physics.kiln_air import DayAir, steady_day
from kilns.physics.schedules import Schedule
from yard.wood.air_history import Air
from yard.wood.drying import DryingCourse, dry
from yard.wood.drying_parameters import DryingParameters, drying_parameters
from yard.wood.priors import LN_D_SD
from yard.wood.ranges import OutsideRange, require_range
from yard.wood.safe_rate import safe_rate_pct_per_day
from yard.wood.species import Species

Floats = NDArray[np.float64]

FAN_FACTOR = 1.5
# times the surface coefficient of an open yard pile that fans through a stickered stack give (our own figure; the
# charges of FPL-RN-0310 in a small kiln were slower still, see tests/kilns/physics/test_charge_days.py)
ONE_IN_TEN_SD = 1.2816
# standard deviations that leave one in ten outside on each side
MOISTEST_EMC_PCT = 26.0
# % EMC: the moistest air that a kiln is kept at to stay under the safe rate (about 99% humidity; our own figure)
MOST_DAYS = 400
HOLD_STEPS, HOLD_WITHIN = 6, 0.005
# of the search for the air that keeps the safe rate, and how near is near enough, as a share of it (our choice)


@dataclass(frozen=True, eq=False)
class ChargeCourse:
    """A charge run through a schedule, day by day: mean and deciding MC, loss, air; `days` to the target."""

    days: float
    mean_pct: Floats  # at the start and after each day
    core_pct: Floats
    loss_pct_per_day: Floats
    limit_pct_per_day: float
    dry_bulb_f: Floats
    emc_pct: Floats
    step: NDArray[np.int64]
    held_back: NDArray[np.bool_]  # days on which the air was kept moister than the step

    @property
    def warm_f(self) -> float:
        """Mean temperature of the run [°F]."""
        return float(self.dry_bulb_f.mean())


@dataclass(frozen=True, eq=False)
class ChargeDays:
    """Days to the target with an interval that holds eight times in ten, as far as the wood's own speed goes."""

    days: float
    low_days: float
    high_days: float
    course: ChargeCourse
    method: str
    reasons: tuple[str, ...]


def charge_course(
    species: str | Species,
    thickness_in: float,
    schedule: Schedule,
    start_mc_pct: float,
    target_mc_pct: float,
    *,
    profile_pct: Floats | None = None,
    parameters: DryingParameters | None = None,
    wettest_above_mean_pct: float = 0.0,
    day_air: DayAir = steady_day,
    fan_factor: float = FAN_FACTOR,
    hold_safe_rate: bool = True,
) -> ChargeCourse:
    """Run a charge through a schedule until its mean is at the target.

    Parameters: `species` key or Species; `thickness_in` nominal [in], 0.5 to 4; `start_mc_pct` mean now [%], 5 to
    250; `target_mc_pct` [%], 4 up to the start; `profile_pct` centre to face where an estimate has one [%];
    `parameters` of the yard's own estimate; `wettest_above_mean_pct` how far the wetter half lies above the mean
    [% MC], 0 to 50; `day_air` what the kiln makes of a step; `fan_factor` 0.1 to 5; `hold_safe_rate` keeps the air
    moister on days that would dry too fast. Returns ChargeCourse. Raises UnknownSpecies, OutsideRange: the target
    must lie above the EMC of the last step.
    Source: the drying model of `yard.wood.drying`; safe rates `yard.wood.safe_rate`; wettest half AH-188 ch. 7.

    >>> from kilns.physics.schedules import assemble
    >>> run = charge_course("oak-northern-red", 1.0, assemble("T4-D2"), 25.0, 8.0)
    >>> bool(run.loss_pct_per_day.max() <= 3.81) and 3 < run.days < 20
    True
    """
    require_range("target moisture content", target_mc_pct, 4.0, start_mc_pct - 0.1, "%")
    require_range("wetter half above the mean", wettest_above_mean_pct, 0.0, 50.0, "%")
    limit = safe_rate_pct_per_day(species, thickness_in)
    known = parameters or drying_parameters(species)
    known = replace(known, surface_m_s=known.surface_m_s * require_range("fan factor", fan_factor, 0.1, 5.0))
    run = _Run(species, thickness_in, known, limit if hold_safe_rate else math.inf)
    run.begin(start_mc_pct, profile_pct)
    while run.mean_pct[-1] > target_mc_pct:
        if len(run.mean_pct) > MOST_DAYS or run.stalled(target_mc_pct):
            emc = run.emc_pct[-1]
            hint = f"Air of {emc:.1f}% EMC does not bring the wood there: choose a drier last step"
            raise OutsideRange("target MC", target_mc_pct, round(run.mean_pct[-1], 1), None, "%", hint)
        number = max(run.step[-1] if run.step else 1, schedule.step_number(run.mean_pct[-1] + wettest_above_mean_pct))
        run.one_day(number, day_air(schedule.steps[number - 1], len(run.step)))
    return run.course(target_mc_pct, limit)


def charge_days(
    species: str | Species,
    thickness_in: float,
    schedule: Schedule,
    start_mc_pct: float,
    target_mc_pct: float,
    *,
    profile_pct: Floats | None = None,
    parameters: DryingParameters | None = None,
    ln_d_sd: float = LN_D_SD,
    wettest_above_mean_pct: float = 0.0,
    day_air: DayAir = steady_day,
    fan_factor: float = FAN_FACTOR,
) -> ChargeDays:
    """Return the days that a charge takes, with an 80% interval.

    Parameters: as `charge_course`; `ln_d_sd` spread of ln D20 of the species, or of the yard's own estimate, 0 to 2.
    The interval is that of slow and fast wood; equalising, conditioning and warming up come on top. Raises as
    `charge_course`. Source: DRYING-START for the spread.

    >>> from kilns.physics.schedules import assemble
    >>> found = charge_days("oak-northern-red", 1.0, assemble("T4-D2"), 25.0, 8.0)
    >>> found.low_days < found.days < found.high_days
    True
    """
    require_range("spread of ln D", ln_d_sd, 0.0, 2.0)
    known = parameters or drying_parameters(species)

    def run(deviations: float) -> ChargeCourse:
        speed = math.exp(deviations * ln_d_sd)
        return charge_course(
            species, thickness_in, schedule, start_mc_pct, target_mc_pct, profile_pct=profile_pct,
            parameters=replace(known, diffusivity_m2_s=known.diffusivity_m2_s * speed),
            wettest_above_mean_pct=wettest_above_mean_pct, day_air=day_air, fan_factor=fan_factor,
        )  # fmt: skip

    middle = run(0.0)
    fast, slow = (run(side * ONE_IN_TEN_SD) for side in (1.0, -1.0)) if ln_d_sd else (middle, middle)
    reasons = ["slow and fast wood of the species, 8 times in 10"]
    if middle.held_back.any():
        held = int(middle.held_back.sum())
        reasons.append(f"{held} {'day' if held == 1 else 'days'} held back to the safe rate")
    reasons.append("warming up, equalising, conditioning and cooling come on top")
    return ChargeDays(middle.days, fast.days, slow.days, middle, "drying model in the kiln's air", tuple(reasons))


class _Run:
    """The state of a run, moved on a day at a time."""

    def __init__(
        self, species: str | Species, thickness_in: float, parameters: DryingParameters, limit_pct: float
    ) -> None:
        self.species, self.thickness_in, self.parameters = species, thickness_in, parameters
        self.limit_pct = limit_pct
        self.profile_pct: Floats | None = None
        self.start_mc_pct: float | None = None
        self.mean_pct: list[float] = []
        self.core_pct: list[float] = []
        self.dry_bulb_f: list[float] = []
        self.emc_pct: list[float] = []
        self.step: list[int] = []
        self.held_back: list[bool] = []

    def begin(self, start_mc_pct: float, profile_pct: Floats | None) -> None:
        """Take up the wood as it comes from the yard."""
        self.start_mc_pct, self.profile_pct = start_mc_pct, profile_pct
        self.mean_pct, self.core_pct = [start_mc_pct], [start_mc_pct]

    def stalled(self, target_pct: float) -> bool:
        """Whether the last days hardly dried while the target is still away."""
        return len(self.mean_pct) > 10 and self.mean_pct[-4] - self.mean_pct[-1] < 0.02

    def one_day(self, number: int, day: Air) -> None:
        """Dry for a day, with the air kept moister if it would be too fast."""
        course, offset = self._gentle(day)
        self.profile_pct, self.start_mc_pct = course.profile_pct, None
        self.mean_pct.append(float(course.mean_pct[-1]))
        self.core_pct.append(float(course.core_pct[-1]))
        self.dry_bulb_f.append(float(np.average(day.temp_f, weights=day.step_days)))
        emc = np.minimum(day.emc_pct + offset, np.maximum(day.emc_pct, MOISTEST_EMC_PCT))
        self.emc_pct.append(float(np.average(emc, weights=day.step_days)))
        self.step.append(number)
        self.held_back.append(offset > 0.0)

    def _dried(self, day: Air, offset_pct: float) -> DryingCourse:
        emc = np.minimum(day.emc_pct + offset_pct, np.maximum(day.emc_pct, MOISTEST_EMC_PCT))
        return dry(
            self.species, self.thickness_in, replace(day, emc_pct=emc), start_mc_pct=self.start_mc_pct,
            profile_pct=self.profile_pct, parameters=self.parameters,
        )  # fmt: skip

    def _gentle(self, day: Air) -> tuple[DryingCourse, float]:
        before = self.mean_pct[-1]
        course = self._dried(day, 0.0)
        loss = before - float(course.mean_pct[-1])
        if loss <= self.limit_pct:
            return course, 0.0
        low, low_loss, high = 0.0, loss, max(0.0, MOISTEST_EMC_PCT - float(day.emc_pct.min()))
        moist = self._dried(day, high)
        high_loss = before - float(moist.mean_pct[-1])
        if high_loss > self.limit_pct:
            return moist, high
        for _ in range(HOLD_STEPS):
            offset = low + (high - low) * (low_loss - self.limit_pct) / max(low_loss - high_loss, 1e-12)
            found = self._dried(day, offset)
            now = before - float(found.mean_pct[-1])
            if abs(now - self.limit_pct) < HOLD_WITHIN * self.limit_pct:
                return found, offset
            if now > self.limit_pct:
                low, low_loss = offset, now
            else:
                high, high_loss, moist = offset, now, found
        return moist, high

    def course(self, target_pct: float, limit_pct: float) -> ChargeCourse:
        """Return the run, its last day cut where the mean met the target."""
        mean = np.array(self.mean_pct)
        whole = len(mean) - 1
        share = (mean[-2] - target_pct) / (mean[-2] - mean[-1]) if whole else 0.0
        return ChargeCourse(
            whole - 1 + float(share) if whole else 0.0, mean, np.array(self.core_pct), -np.diff(mean), limit_pct,
            np.array(self.dry_bulb_f), np.array(self.emc_pct), np.array(self.step, dtype=np.int64),
            np.array(self.held_back, dtype=bool),
        )  # fmt: skip

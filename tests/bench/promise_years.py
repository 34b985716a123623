"""Yard-years whose truth is known: wood drying outdoors, a kiln with runs before it, a quote on a drawn day.

The truth (rate constants, start MC, weather, the days of other people's runs) is drawn from the spreads that the
estimate believes in; what is observed has the usual errors. The quote is made as the program makes it: the estimate
of that day, the run's days by the drying model in the kiln, the simulation of the promise.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from kilns.physics.charge_days import charge_course, charge_days
from kilns.physics.schedule_index import schedule_for
from kilns.physics.schedules import Schedule
from sales.promises.promise import Promise, promise
from sales.promises.simulate import Charge, KilnLine, Lot
from sales.promises.spread import Z80, Spread
from sales.promises.wood_days import days_to_target
from tests.wood.twins import CLIMATE, drawn_parameters
from yard.wood.drying import DryingCourse, air_from_humidity, dry
from yard.wood.drying_parameters import DryingParameters, drying_parameters
from yard.wood.estimate import CohortEstimate, OvenSection, WeighingRatio, estimate_cohort, future_air
from yard.wood.future_weather import FutureWeather, future_weather
from yard.wood.ranges import OutsideRange

SPECIES, THICKNESSES_IN = ("oak-northern-red", "maple-sugar", "walnut-black", "cherry-black"), (1.0, 1.5, 2.0)
ENTRY_PCT, TARGET_PCT = 20.0, 8.0
MOST_DAYS, TRACES = 1500, 32
WEIGHED_EACH = 28  # days between weighings
EXTRA_DAYS, AFTER_DAYS, PICK_DAYS, CHANGE_OVER = 3.5, 3.0, 2.0, 2.0
KILN_SHARE = 0.2  # of the variance of a run's days that is the kiln's


@dataclass(frozen=True)
class Wood:
    """One wood with its truth and what the yard says of it on the day of the quote."""

    key: str
    species: str
    thickness_in: float
    true: DryingParameters
    course: DryingCourse
    estimate: CohortEstimate

    @property
    def schedule(self) -> Schedule:
        return schedule_for(self.species, self.thickness_in).schedule

    def run_spread(self) -> Spread:
        """The run's days as the program foresees them: from the MC at which the kiln takes over, or today's."""
        start, belief = min(ENTRY_PCT, self.estimate.mean.value), self.estimate.posterior.ln_d
        if start <= TARGET_PCT + 0.2:
            return Spread(EXTRA_DAYS, EXTRA_DAYS, EXTRA_DAYS)
        known = replace(drying_parameters(self.species), diffusivity_m2_s=math.exp(belief.mean))
        found = charge_days(
            self.species, self.thickness_in, self.schedule, start, TARGET_PCT, parameters=known, ln_d_sd=belief.sd
        )
        return Spread.around(*(one + EXTRA_DAYS for one in (found.days, found.low_days, found.high_days)))

    def true_run_days(self, start_pct: float) -> float:
        if start_pct <= TARGET_PCT + 0.2:
            return EXTRA_DAYS
        run = charge_course(
            self.species, self.thickness_in, self.schedule, start_pct, TARGET_PCT, parameters=self.true
        )  # fmt: skip
        return run.days + EXTRA_DAYS


@dataclass(frozen=True)
class Kept:
    """A promise beside what happened."""

    promise: Promise
    ready: date
    two_woods: bool
    runs_before: int

    @property
    def held(self) -> bool:
        return self.promise.nine_in_ten is not None and self.ready <= self.promise.nine_in_ten

    @property
    def by_middle(self) -> bool:
        return self.promise.middle is not None and self.ready <= self.promise.middle


def yard_years(count: int) -> Iterator[Kept]:
    """So many yard-years, each the same whenever it is asked for."""
    for seed in range(count):
        yield _Year(seed).kept()


class _Year:
    def __init__(self, seed: int) -> None:
        self.seed, self.random = seed, np.random.default_rng(700_000 + seed)
        self.start = date(2024, 1, 1) + timedelta(days=int(self.random.integers(0, 366)))
        self.quoted = int(self.random.integers(14, 200))  # days after the start
        self.today = self.start + timedelta(days=self.quoted)
        self.weather = future_weather(CLIMATE, self.start, MOST_DAYS, 1, seed=800_000 + seed)
        self.ahead = future_weather(CLIMATE, self.today, 1100, TRACES, seed=900_000 + seed)

    def kept(self) -> Kept:
        woods = [self._wood(f"wood {number}") for number in range(1 if self.random.random() < 0.7 else 2)]
        spreads = {wood.key: wood.run_spread() for wood in woods}
        deciding = max(woods, key=lambda wood: spreads[wood.key].mid_days)
        ordered = [deciding, *(wood for wood in woods if wood is not deciding)]
        before, true_before = self._queue()
        ours = Charge("ours", "ours", spreads[deciding.key], lots=tuple(wood.key for wood in ordered))
        kiln = KilnLine("kiln", "kiln", (*before, ours), CHANGE_OVER)
        lots = [self._lot(wood) for wood in woods]
        found = promise(lots, [kiln], today=self.today, pick_days=PICK_DAYS, seed=self.seed)
        true_days = self._true_days(woods, before, true_before)
        return Kept(found, self.today + timedelta(days=math.ceil(true_days)), len(woods) > 1, len(before))

    def _lot(self, wood: Wood) -> Lot:
        ready = wood.estimate.ready[0]
        air = days_to_target(self.today, ready.earliest, ready.likely, ready.latest, ready.probability_now)
        return Lot(wood.key, wood.species, air, "ours", AFTER_DAYS)

    def _wood(self, key: str) -> Wood:
        species, thickness_in = str(self.random.choice(SPECIES)), float(self.random.choice(THICKNESSES_IN))
        own, offset = drawn_parameters(species, self.random), float(self.random.standard_normal())
        air = _air(self.weather, None)
        course = dry(species, thickness_in, air, parameters=own, emc_offset_pct=offset)
        estimate = estimate_cohort(
            species=species, thickness_in=thickness_in, start_date=self.start, air=_air(self.weather, self.quoted),
            observations=self._observed(course), targets_mc_pct=(ENTRY_PCT,), future_air=future_air(self.ahead),
            seed=self.seed,
        )  # fmt: skip
        return Wood(key, species, thickness_in, own, course, estimate)

    def _observed(self, course: DryingCourse) -> list[OvenSection | WeighingRatio]:
        """Nothing in a quarter of cases; else weighings, and an oven-dried section in half of those."""
        kind = self.random.random()
        found: list[OvenSection | WeighingRatio] = []
        if kind < 0.25:
            return found
        start_pct = float(course.mean_pct[0])
        if kind < 0.625:
            found.append(OvenSection(self.start, start_pct + 2.0 * float(self.random.standard_normal())))
        for day in range(WEIGHED_EACH, self.quoted, WEIGHED_EACH):
            true = (100 + float(course.mean_pct[day])) / (100 + start_pct)
            ratio = true * (1 + 0.008 * float(self.random.standard_normal()))
            found.append(WeighingRatio(self.start + timedelta(days=day), self.start, ratio))
        return found

    def _queue(self) -> tuple[list[Charge], list[float]]:
        """Runs before ours, with their true days: the first may be going on, and then is not over yet."""
        kiln_z, charges, true = float(self.random.standard_normal()), [], []
        for number in range(int(self.random.integers(0, 4))):
            mid = float(self.random.uniform(8, 30))
            days = Spread(0.75 * mid, mid, 1.4 * mid)
            going_on = number == 0 and self.random.random() < 0.5
            gone = float(self.random.uniform(0.1, 0.9)) * mid if going_on else 0.0
            lasts = self._drawn(days, kiln_z)
            while lasts <= gone:
                lasts = self._drawn(days, kiln_z)
            planned = 0.0 if going_on else float(self.random.uniform(0, 20)) * number
            charges.append(Charge(f"run {number}", "", days, -gone if going_on else planned))
            true.append(lasts)
        return charges, true

    def _drawn(self, days: Spread, kiln_z: float) -> float:
        z = math.sqrt(KILN_SHARE) * kiln_z + math.sqrt(1 - KILN_SHARE) * float(self.random.standard_normal())
        side = days.high_days - days.mid_days if z > 0 else days.mid_days - days.low_days
        return max(0.0, days.mid_days + z / Z80 * side)

    def _true_days(self, woods: list[Wood], before: list[Charge], true: list[float]) -> float:
        free = 0.0
        for charge, lasts in zip(before, true, strict=True):
            begins = charge.starts_in_days if charge.running else max(free, charge.starts_in_days)
            free = begins + lasts + CHANGE_OVER
        begins = max([free, *(_days_to_entry(wood) - self.quoted for wood in woods)])
        day = min(MOST_DAYS, self.quoted + begins)
        runs = [wood.true_run_days(_mc_on(wood, day)) for wood in woods]
        return float(begins + max(runs) + AFTER_DAYS + PICK_DAYS)


def _air(weather: FutureWeather, days: int | None):
    return air_from_humidity(weather.temp_f[0][:days], weather.rh_pct[0][:days])


def _days_to_entry(wood: Wood) -> float:
    """Days from the start until the wood truly is at the MC at which the kiln takes over."""
    try:
        return float(wood.course.days_to(ENTRY_PCT))
    except OutsideRange:
        return float(MOST_DAYS)


def _mc_on(wood: Wood, day: float) -> float:
    return float(np.interp(day, np.arange(len(wood.course.mean_pct)), wood.course.mean_pct))

"""Synthetic twins: a made-up board whose truth is known, measured with the usual errors, then estimated."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from yard.wood.climate import city
from yard.wood.drying import DryingCourse, air_from_humidity, dry
from yard.wood.drying_parameters import DryingParameters, drying_parameters
from yard.wood.estimate import (
    CohortEstimate,
    OvenSection,
    PinReading,
    WeighingRatio,
    estimate_cohort,
    future_air,
)
from yard.wood.future_weather import future_weather

PAST_DAYS, FUTURE_DAYS, TRACES = 180, 1100, 32
CLIMATE = city("WI-Madison").climate


@dataclass(frozen=True)
class Twin:
    """A board with its truth and the weather it will have."""

    species: str
    thickness_in: float
    start: date
    course: DryingCourse
    temp_f: np.ndarray
    rh_pct: np.ndarray
    seed: int

    def truth(self, day: int) -> float:
        return float(self.course.mean_pct[day])

    def local_pct(self, day: int, depth_in: float, half_in: float) -> float:
        """MC at a depth, from the run taken again up to that day."""
        air = air_from_humidity(self.temp_f[:day], self.rh_pct[:day])
        course = dry(
            self.species, self.thickness_in, air, parameters=self.course.parameters, emc_offset_pct=self.offset,
        )  # fmt: skip
        width = 0.85 ** np.arange(len(course.profile_pct))
        width /= width.sum()
        depths = 1 - np.cumsum(width) + width / 2
        return float(np.interp(depth_in / half_in, depths[::-1], course.profile_pct[::-1]))

    offset: float = 0.0


def drawn_parameters(species: str, random: np.random.Generator) -> DryingParameters:
    """Return a species' constants and start MC drawn from the spreads of the prior."""
    usual = drying_parameters(species)
    return replace(
        usual,
        diffusivity_m2_s=usual.diffusivity_m2_s * float(np.exp(0.4 * random.standard_normal())),
        surface_m_s=usual.surface_m_s * float(np.exp(0.5 * random.standard_normal())),
        start_mc_pct=usual.start_mc_pct + 10.0 * float(random.standard_normal()),
    )


def make_twin(seed: int, species: str = "oak-northern-red", thickness_in: float = 2.0) -> Twin:
    """Return a twin whose constants are drawn from the published spreads, started on a drawn day."""
    random = np.random.default_rng(seed)
    own = drawn_parameters(species, random)
    offset = float(random.standard_normal())
    start = date(2024, 1, 1) + timedelta(days=int(random.integers(0, 366)))
    weather = future_weather(CLIMATE, start, PAST_DAYS + FUTURE_DAYS, 1, seed=100_000 + seed)
    air = air_from_humidity(weather.temp_f[0], weather.rh_pct[0])
    course = dry(species, thickness_in, air, parameters=own, emc_offset_pct=offset)
    return Twin(species, thickness_in, start, course, weather.temp_f[0], weather.rh_pct[0], seed, offset)


WEIGHING_DAYS = (14, 28, 45, 60, 90, 120, 150, 180)


def observe(twin: Twin, *, oven: bool, weighings: bool, meter_depth_in: float | None = None, meter_days=(180,)):
    """Return observations with the errors that the estimate believes in."""
    random = np.random.default_rng(200_000 + twin.seed)
    found = []
    if oven:
        found.append(OvenSection(twin.start, twin.truth(0) + 2.0 * float(random.standard_normal())))
    for day in WEIGHING_DAYS if weighings else ():
        true = (100 + twin.truth(day)) / (100 + twin.truth(0))
        on = twin.start + timedelta(days=day)
        found.append(WeighingRatio(on, twin.start, true * (1 + 0.008 * float(random.standard_normal()))))
    if meter_depth_in is not None:
        for day in meter_days:
            local = twin.local_pct(day, meter_depth_in, twin.thickness_in / 2)
            read = max(0.0, local + 2.0 * float(random.standard_normal()))
            found.append(PinReading(twin.start + timedelta(days=day), meter_depth_in, read))
    return found


def estimate(twin: Twin, observations, target_pct: float = 20.0, members: int = 4096, seed: int = 0) -> CohortEstimate:
    """Return the estimate at day 180, ignorant of the weather after it."""
    today = twin.start + timedelta(days=PAST_DAYS)
    ahead = future_weather(CLIMATE, today, FUTURE_DAYS, TRACES, seed=300_000 + twin.seed)
    return estimate_cohort(
        species=twin.species,
        thickness_in=twin.thickness_in,
        start_date=twin.start,
        air=air_from_humidity(twin.temp_f[:PAST_DAYS], twin.rh_pct[:PAST_DAYS]),
        observations=observations,
        targets_mc_pct=(target_pct,),
        future_air=future_air(ahead),
        members=members,
        seed=seed,
    )

"""What the demo's wood really does: the drying model on the yard's air with constants that nobody there knows."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from yard.models import Cohort
from yard.services.air_history import air_history
from yard.services.cohort_air import AirBook
from yard.wood.drying import dry
from yard.wood.drying_parameters import drying_parameters


class Truth:
    """The true mean, shell and core MC of a cohort by day, and a dice for what a scale makes of it."""

    def __init__(self, *, cohort: Cohort, book: AirBook, end: date, ln_d: float, start_mc_pct: float, seed: int):
        self.start = cohort.started_on
        past = book.past(air_history(cohort), self.start, end)
        known = drying_parameters(cohort.species_key)
        hidden = replace(known, diffusivity_m2_s=known.diffusivity_m2_s * float(np.exp(ln_d)))
        self.course = dry(
            cohort.species_key, cohort.thickness_in, past.for_model(), start_mc_pct=start_mc_pct, parameters=hidden,
            frozen_stop=book.yard.frozen_stops_drying,
        )  # fmt: skip
        self.dice = np.random.default_rng(seed)

    def mean_pct(self, day: date) -> float:
        row = min(max((day - self.start) // timedelta(days=1), 0), len(self.course.mean_pct) - 1)
        return float(self.course.mean_pct[row])

    def near_core_pct(self, day: date) -> float:
        row = min(max((day - self.start) // timedelta(days=1), 0), len(self.course.core_pct) - 1)
        return float(0.5 * self.course.core_pct[row] + 0.5 * self.course.mean_pct[row])

    def scattered(self, value: float, sd: float) -> float:
        return value + sd * float(self.dice.standard_normal())

"""What a charge would take in a kiln: days, energy and cost with intervals, by the drying model in the kiln's air.

It takes seconds: it is worked out when somebody asks, and kept with the run, never while a page is shown.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

import numpy as np

from kilns.models import Kiln
from kilns.physics.capped_schedules import cap_schedule
from kilns.physics.charge_days import ChargeDays, charge_days
from kilns.physics.charge_energy import ChargeEnergy, ChargePlan, charge_energy
from kilns.physics.equalising import conditioning_time
from kilns.physics.kiln_box import KilnBox
from kilns.physics.load_heat import Load
from kilns.physics.schedules import Schedule
from kilns.services.charge_air import KilnAir, kiln_air
from kilns.services.charge_stacks import WoodOfStack
from kilns.services.kiln_boxes import box_of
from kilns.services.kiln_build import build_of
from yard.models import Yard
from yard.services.yard_prior import posterior_from_json, prior_for
from yard.wood.diffusion import grid
from yard.wood.drying_parameters import DryingParameters, drying_parameters
from yard.wood.humid_air import humidity_ratio
from yard.wood.moisture import rh_pct_at_emc
from yard.wood.ranges import OutsideRange

WARM_AND_COOL_DAYS, EQUALISE_DAYS = 2.0, 1.5
# days to warm up and cool, and to equalise (common practice, no source)
THICK_CONDITION_DAYS = 3.0
# days beyond 2.5 in, the longest that AH-188 states for 8/4 (taken over, no source)
DRIEST_PROFILE_PCT = 4.5


@dataclass(frozen=True)
class ChargeWorkedOut:
    """A charge worked out: what is shown, and what is kept with the run."""

    deciding: WoodOfStack
    schedule: Schedule
    target_mc_pct: float
    days: ChargeDays
    extra_days: float
    extra_words: str
    air: KilnAir
    footage_bf: float
    start_mc_pct: float
    water_lb: float
    caught_share: float
    days_by_water: float | None
    energy: ChargeEnergy | None
    no_energy: str
    cost: tuple[Decimal, Decimal, Decimal] | None

    @property
    def caught_share_pct(self) -> float:
        """The share of the water that the dehumidifier catches [%]."""
        return 100.0 * self.caught_share

    @property
    def days_all(self) -> tuple[float, float, float]:
        """Low, middle and high days from the start until the wood comes out."""
        least = self.days_by_water or 0.0
        low, mid, high = (max(one, least) for one in (self.days.low_days, self.days.days, self.days.high_days))
        return low + self.extra_days, mid + self.extra_days, high + self.extra_days

    def as_plan(self) -> dict[str, Any]:
        """What a run keeps of it, as plain JSON."""
        course = self.days.course
        low, mid, high = (round(one - self.extra_days, 1) for one in self.days_all)
        found: dict[str, Any] = {
            "days": {"low": low, "mid": mid, "high": high}, "extra_days": round(self.extra_days, 1),
            "extra_words": self.extra_words, "footage_bf": round(self.footage_bf, 1),
            "start_mc_pct": round(self.start_mc_pct, 1), "target_mc_pct": self.target_mc_pct,
            "species_key": self.deciding.species_key, "thickness_in": round(self.deciding.thickness_in, 3),
            "schedule": self.schedule.code, "water_lb": round(self.water_lb, 1),
            "caught_share": round(self.caught_share, 2), "air": self.air.words,
            "mean_pct": [round(float(one), 1) for one in course.mean_pct],
            "dry_bulb_f": [round(float(one)) for one in course.dry_bulb_f],
            "emc_pct": [round(float(one), 1) for one in course.emc_pct],
            "step": [int(one) for one in course.step], "held_back": int(course.held_back.sum()),
            "reasons": list(self.days.reasons),
        }  # fmt: skip
        if self.energy is not None:
            low_kwh, high_kwh = round(self.energy.low_kwh), round(self.energy.high_kwh)
            found["kwh"] = {"low": low_kwh, "mid": round(self.energy.bill.bought_kwh), "high": high_kwh}
        if self.cost is not None:
            found["cost"] = dict(zip(("low", "mid", "high"), (str(one) for one in self.cost), strict=True))
        return found


def charge_work_out(
    *, kiln: Kiln, woods: Sequence[WoodOfStack], schedule: Schedule, target_mc_pct: float, start_on: date, yard: Yard
) -> ChargeWorkedOut:
    """Work out a charge: the wood that dries slowest decides for all.

    Parameters: `schedule` as kept or published: it is brought to what the kiln can reach by holding the EMC.
    Errors: OutsideRange where the model, the schedule or the kiln does not cover it, in words.
    """
    capped = cap_schedule(schedule, kiln.hottest_f, yard.elevation_ft)
    deciding = max(woods, key=lambda one: _slowness(one, target_mc_pct))
    build = build_of(kiln)
    box = box_of(kiln, elevation_ft=yard.elevation_ft, build=build)
    air = kiln_air(kiln, build, box, yard, start_on)
    days = _days(deciding, capped, target_mc_pct, air)
    footage = sum(one.footage_bf for one in woods)
    mean = sum(one.mc_pct * one.footage_bf for one in woods) / footage
    load = Load(deciding.species_key, footage, deciding.thickness_in, mean)
    water = load.dry_lb * (mean - target_mc_pct) / 100.0
    caught, by_water = _caught(air, box, days, water)
    extra, extra_words = _extra(deciding.thickness_in)
    energy, why = _energy(box, load, days, air, target_mc_pct, caught, extra)
    price = kiln.energy_price
    cost = energy.cost(price) if energy is not None and price else None
    return ChargeWorkedOut(
        deciding, capped, target_mc_pct, days, extra, extra_words, air, footage, mean, water, caught, by_water,
        energy, why, cost,
    )  # fmt: skip


def _slowness(wood: WoodOfStack, target_pct: float) -> float:
    """How long a wood takes beside others: l² over D20, times how far it has to go (the series' first term)."""
    still = math.log(max(wood.mc_pct - target_pct + 3.0, 1.0) / 3.0)
    return wood.thickness_in**2 / wood_parameters(wood).diffusivity_m2_s * still


def wood_parameters(wood: WoodOfStack) -> DryingParameters:
    """The wood's rate constants as this yard's own weighings have moved them, or as published."""
    known = drying_parameters(wood.species_key)
    return replace(known, diffusivity_m2_s=math.exp(_belief(wood).mean))


def _belief(wood: WoodOfStack):
    kept = wood.cohort.estimate.posterior if wood.cohort.estimate else {}
    return posterior_from_json(kept).ln_d if kept else prior_for(wood.cohort).ln_d


def _days(wood: WoodOfStack, schedule: Schedule, target_pct: float, air: KilnAir) -> ChargeDays:
    estimate = wood.cohort.estimate
    profile = profile_of(estimate.mean_pct, estimate.core_pct) if estimate else None
    return charge_days(
        wood.species_key, wood.thickness_in, schedule, wood.mc_pct, target_pct, profile_pct=profile,
        parameters=wood_parameters(wood), ln_d_sd=_belief(wood).sd, day_air=air.day_air,
    )  # fmt: skip


def profile_of(mean_pct: float, core_pct: float) -> np.ndarray:
    """A board's moisture from centre to face that has a mean and a core: a parabola, as drying wood has nearly.

    >>> profile = profile_of(20.0, 23.0)
    >>> round(float((profile * grid().width).sum()), 6), bool(profile[0] > 22.9), bool(profile[-1] < 15.0)
    (20.0, True, True)
    """
    width = grid().width
    squares = (np.cumsum(width) - width / 2) ** 2
    core = max(core_pct, mean_pct)
    most = (mean_pct - DRIEST_PROFILE_PCT) * (width * squares).sum() / (1.0 - (width * squares).sum())
    bend = min(core - mean_pct, max(0.0, float(most))) / float((width * squares).sum())
    profile = mean_pct + bend * (float((width * squares).sum()) - squares)
    return np.asarray(profile)


def _caught(air: KilnAir, box: KilnBox, days: ChargeDays, water_lb: float) -> tuple[float, float | None]:
    """The share of the water that the dehumidifier catches, and the days that it takes where that is all there is."""
    if box.dehumidifier is None:
        return 0.0, None
    capacity = air.capacity_lb_per_day(days.course)
    if not capacity:
        return 0.0, None
    needed = water_lb / max(days.days, 0.1)
    by_water = water_lb / capacity if capacity < needed and not air.vents else None
    return min(1.0, capacity / needed), by_water


def _extra(thickness_in: float) -> tuple[float, str]:
    try:
        condition = conditioning_time(thickness_in).high_h / 24.0
    except OutsideRange:
        condition = THICK_CONDITION_DAYS
    whole = WARM_AND_COOL_DAYS + EQUALISE_DAYS + condition
    return whole, (
        f"{WARM_AND_COOL_DAYS:g} days to warm up and cool, {EQUALISE_DAYS:g} to equalise, {condition:g} to condition"
    )


def _energy(
    box: KilnBox, load: Load, days: ChargeDays, air: KilnAir, target_pct: float, caught: float, extra_days: float
) -> tuple[ChargeEnergy | None, str]:
    if air.outdoor_f is None or air.outdoor_rh_pct is None:
        return None, "Give the yard its place to see the energy: the outdoor air is not known."
    warm, emc = days.course.warm_f, float(np.mean(days.course.emc_pct))
    low, mid, high = (one + extra_days for one in (days.low_days, days.days, days.high_days))
    try:
        rh = min(rh_pct_at_emc(warm, emc), 98.0)
        plan = ChargePlan(mid, warm, rh, air.outdoor_f, air.outdoor_rh_pct, target_pct, air.outdoor_f)
        if humidity_ratio(warm, rh, 0.0) <= humidity_ratio(air.outdoor_f, air.outdoor_rh_pct, 0.0) and caught:
            caught = 1.0  # moister outside: vents are kept shut
        energy = charge_energy(
            box, load, plan, days_low=low, days_high=high, condensed_share=caught, sun_kwh=air.sun_kwh_day * mid
        )
    except OutsideRange as error:
        return None, f"{error}."
    return energy, ""

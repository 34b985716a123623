"""The water of a charge in a day against what a kiln takes out: its dehumidifier, else its vents."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from kilns.models import Kiln
from kilns.physics.capped_schedules import cap_schedule
from kilns.physics.dehumidifier import capacity_lb_per_day
from kilns.physics.load_heat import Load
from kilns.physics.schedule_index import schedule_for
from kilns.physics.schedules import Step
from kilns.services.kiln_boxes import dehumidifier_of
from kilns.services.kiln_build import Build
from kilns.services.sheet_asked import USUAL_LOSS_PCT
from yard.models import Yard
from yard.wood.ranges import OutsideRange
from yard.wood.safe_rate import safe_rate
from yard.wood.species import UnknownSpecies


class Wood(Protocol):
    """What the water is reckoned from."""

    species_key: str
    thickness_in: float
    mc_pct: float
    footage_bf: float


@dataclass(frozen=True, slots=True)
class WaterNeed:
    """Pounds of water in a day at the pace named, and what the dehumidifier takes; None without one."""

    water_lb_per_day: float
    loss_pct_per_day: float
    capacity_lb_per_day: float | None
    step: Step | None

    @property
    def enough(self) -> bool:
        """Whether the dehumidifier keeps up; where there is none the vents are left to carry it."""
        return self.capacity_lb_per_day is None or self.water_lb_per_day <= self.capacity_lb_per_day


def pace_pct(species_key: str, thickness_in: float) -> float:
    """The pace that water is reckoned at: 2% MC a day, or the wood's safe rate where that is less. OutsideRange."""
    return min(USUAL_LOSS_PCT, safe_rate(species_key, thickness_in).pct_per_day)


def water_need(kiln: Kiln, build: Build, woods: Sequence[Wood], yard: Yard) -> WaterNeed | None:
    """The day's water of these woods together; None where the physics do not cover one of them."""
    try:
        loss = min(pace_pct(one.species_key, one.thickness_in) for one in woods)
        water = sum(_dry_lb(one) for one in woods) * loss / 100.0
        step = _step(kiln, woods, yard)
        unit = dehumidifier_of(build)
        capacity = capacity_lb_per_day(unit, step.dry_bulb_f, step.rh_pct) if unit and step else None
    except (OutsideRange, UnknownSpecies, ValueError):
        return None
    return WaterNeed(water, loss, capacity, step)


def _dry_lb(wood: Wood) -> float:
    return Load(wood.species_key, wood.footage_bf, wood.thickness_in, max(wood.mc_pct, 1.0)).dry_lb


def _step(kiln: Kiln, woods: Sequence[Wood], yard: Yard) -> Step | None:
    """The published step that the thickest of them is due, as the kiln can hold it; None without one."""
    wood = max(woods, key=lambda one: one.thickness_in)
    try:
        choice = schedule_for(wood.species_key, wood.thickness_in, yard.elevation_ft)
    except OutsideRange:
        return None
    return cap_schedule(choice.schedule, kiln.hottest_f, yard.elevation_ft).step_at(max(wood.mc_pct, 5.0))

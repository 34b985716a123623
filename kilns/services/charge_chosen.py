"""The stacks that somebody chose for a charge: what speaks against them together, and what they would take."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.core.exceptions import ValidationError

from kilns.models import Kiln, Schedule
from kilns.services.charge_mixes import why_unlike
from kilns.services.charge_plan import ChargeWorkedOut, charge_work_out, wood_parameters
from kilns.services.charge_schedules import charge_schedule
from kilns.services.charge_size import IN_PER_FT
from kilns.services.charge_stacks import Candidate, WoodOfStack, candidates_of
from kilns.services.charge_water import WaterNeed, water_need
from kilns.services.charge_workings import working_days, working_energy
from kilns.services.kiln_build import build_of
from kilns.services.schedule_steps import StepRow, step_rows
from kilns.services.stack_fits import STICKER_IN
from yard import quantities
from yard.models import Stack, Yard
from yard.services.ready_list import Wanted, standing_wood, with_stack_and_estimate
from yard.wood.working import Working


@dataclass(frozen=True)
class Chosen:
    """The chosen stacks with what to mind; `worked` once it was worked out, with the schedule's rows."""

    parts: tuple[Candidate, ...]
    woods: tuple[WoodOfStack, ...]
    cautions: tuple[str, ...]
    water: WaterNeed | None
    worked: ChargeWorkedOut | None = None
    provenance: str = ""
    rows: Sequence[StepRow] = ()
    working_days: Working | None = None
    working_energy: Working | None = None

    @property
    def deciding(self) -> WoodOfStack:
        """The wood that a schedule is chosen for: the thickest, of equals the wettest."""
        return max(self.woods, key=lambda one: (one.thickness_in, one.mc_pct))

    @property
    def footage_bf(self) -> float:
        return sum(one.footage_bf for one in self.woods)


def chosen_stacks(kiln: Kiln, stacks: Iterable[Stack], *, yard: Yard, today: date) -> Chosen:
    """Look at chosen stacks together; a person may choose what the list holds back, and is told what speaks against."""
    rows = standing_wood(Wanted()).filter(stack__in=list(stacks))
    cohorts = with_stack_and_estimate(rows.order_by("stack_id", "pk").values_list("pk", flat=True), rows)
    parts = tuple(candidates_of(kiln, cohorts, yard=yard, today=today))
    woods = tuple(wood for one in parts for wood in one.woods)
    cautions = [f"{one.tag}: {words}" for one in parts for words in (*one.why_not, *one.notes)]
    if len(parts) > 1:
        cautions += why_unlike(parts)
        cautions += _too_high(kiln, parts)
    water = water_need(kiln, build_of(kiln), woods, yard) if woods else None
    return Chosen(parts, woods, tuple(cautions), water)


def chosen_worked_out(
    kiln: Kiln, chosen: Chosen, *, kept: Schedule | None, target_mc_pct: float, start_on: date, yard: Yard
) -> Chosen:
    """Work it out, which takes seconds. Errors: ValidationError without an estimate; OutsideRange."""
    unknown = [one.tag for one in chosen.parts if any(wood.cohort.estimate is None for wood in one.woods)]
    if unknown or not chosen.woods:
        words = ", ".join(unknown) or "These stacks"
        raise ValidationError({"stacks": f"{words}: no estimate yet, so nothing can be worked out."})
    drier = [one.tag for one in chosen.parts if max(wood.mc_pct for wood in one.woods) <= target_mc_pct + 0.1]
    if drier:
        raise ValidationError({"target_mc_pct": f"{', '.join(drier)} is as dry as that already."})
    schedule, provenance = charge_schedule(kept, chosen.deciding, yard)
    worked = charge_work_out(
        kiln=kiln, woods=chosen.woods, schedule=schedule, target_mc_pct=target_mc_pct, start_on=start_on, yard=yard
    )
    days, rows = worked.days, step_rows(worked.schedule, yard.elevation_ft)
    opened = working_days(
        worked.deciding, worked.schedule, target_mc_pct, days.days, days.low_days, days.high_days,
        wood_parameters(worked.deciding).diffusivity_m2_s,
    )  # fmt: skip
    bill = working_energy(worked.energy) if worked.energy else None
    return replace(chosen, worked=worked, provenance=provenance, rows=rows, working_days=opened, working_energy=bill)


def _too_high(kiln: Kiln, parts: Sequence[Candidate]) -> list[str]:
    height = sum(one.laid.height_ft for one in parts) + (len(parts) - 1) * STICKER_IN / IN_PER_FT
    if height <= kiln.stack_height_ft + 0.05:
        return []
    high, room = quantities.length_ft(height), quantities.length_ft(kiln.stack_height_ft)
    return [f"Together they come to {high}, and the kiln takes {room}: leave one out."]

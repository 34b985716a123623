"""A schedule as rows of a page: each step with where it ends, its working, and the same step in a cooler kiln."""

from dataclasses import dataclass

from kilns.physics.capped_schedules import cap_schedule
from kilns.physics.schedules import Schedule, Step
from kilns.physics.working_schedules import working_capped_humidity, working_step_emc
from kilns.services.sheet_figure import figure
from yard.wood.working import Working


@dataclass(frozen=True)
class StepRow:
    """One step; `capped` is True where a kiln that cannot get so hot changes it."""

    number: int
    step: Step
    until_mc_pct: float | None
    capped: bool
    working: Working | None


def step_rows(schedule: Schedule, elevation_ft: float = 0.0) -> list[StepRow]:
    """The steps as published or kept."""
    return [
        StepRow(number, step, until, False, _opened(step, elevation_ft)) for number, step, until in _numbered(schedule)
    ]


def capped_rows(schedule: Schedule, hottest_f: float, elevation_ft: float = 0.0) -> list[StepRow]:
    """The steps for a kiln that reaches at most a dry bulb, by holding each EMC. Errors: OutsideRange."""
    cooler = cap_schedule(schedule, hottest_f, elevation_ft)
    rows = []
    for (number, step, until), was in zip(_numbered(cooler), schedule.steps, strict=True):
        capped = step.dry_bulb_f != was.dry_bulb_f
        working = working_capped_humidity(hottest_f, step.emc_pct) if capped else None
        rows.append(StepRow(number, step, until, capped, working))
    return rows


def _numbered(schedule: Schedule) -> list[tuple[int, Step, float | None]]:
    ends = [step.mc_from_pct for step in schedule.steps[1:]] + [None]
    return [(number, step, end) for number, (step, end) in enumerate(zip(schedule.steps, ends, strict=True), 1)]


def _opened(step: Step, elevation_ft: float) -> Working | None:
    """The working of a step's EMC; None where the air cannot be that dry."""
    return figure(lambda: step.emc_pct, lambda: working_step_emc(step, elevation_ft)).working

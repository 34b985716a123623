"""A schedule for a kiln that cannot get so hot: the dry bulb capped, the EMC of each step held."""

from dataclasses import replace

from kilns.physics.schedules import COOLEST_F, HOTTEST_F, Schedule, Step
from yard.wood.humid_air import wet_bulb_f
from yard.wood.moisture import rh_pct_at_emc
from yard.wood.ranges import require_range

SLOWER = "Same EMC, cooler: the wood dries as far, and more slowly; a capped step says how hot the table would have it"


def cap_schedule(schedule: Schedule, hottest_f: float, elevation_ft: float = 0.0) -> Schedule:
    """Return the schedule for a kiln that reaches at most a dry bulb: cooler steps keep their EMC.

    Parameters: `hottest_f` [°F], 60 to 210; `elevation_ft` [ft]. Steps that the kiln can reach stay as they are.
    Returns Schedule. Raises OutsideRange.
    Source: WENGERT-COLUMN (the wood does not know its heat source: the principle, read); holding the EMC and
    capping the dry bulb is inferred from it; humidity by WH-GTR190 Eq. 4-5 solved for it.

    >>> from kilns.physics.schedules import assemble
    >>> full = assemble("T4-D2")
    >>> capped = cap_schedule(full, 120.0)
    >>> capped.hottest_f, round(capped.steps[-1].emc_pct - full.steps[-1].emc_pct, 9)
    (120.0, 0.0)
    """
    require_range("hottest dry bulb of the kiln", hottest_f, COOLEST_F, HOTTEST_F, "°F")
    if hottest_f >= schedule.hottest_f:
        return schedule
    steps = tuple(_capped(step, hottest_f, elevation_ft) for step in schedule.steps)
    how = f"{schedule.provenance}; brought to {hottest_f:g} °F by holding the EMC (inferred)"
    return replace(schedule, steps=steps, provenance=how, notes=(*schedule.notes, SLOWER))


def _capped(step: Step, hottest_f: float, elevation_ft: float) -> Step:
    if step.dry_bulb_f <= hottest_f:
        return step
    note = f"published at {step.dry_bulb_f:g} °F, cooler here at the same EMC; {step.note}"
    humidity = rh_pct_at_emc(hottest_f, step.emc_pct)
    wet_f = wet_bulb_f(hottest_f, humidity, elevation_ft)
    return Step(step.mc_from_pct, hottest_f, wet_f, humidity, step.emc_pct, note.rstrip("; "))

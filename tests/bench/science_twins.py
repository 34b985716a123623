"""How true the estimate is on boards whose truth is known: coverage and error over many synthetic twins."""

from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np

from tests.bench.figures import Figure
from tests.wood.twins import PAST_DAYS, Twin, estimate, make_twin, observe
from yard.wood.estimate import CohortEstimate, PinReading
from yard.wood.ranges import OutsideRange

TWINS = 90
METER_DAYS = (60, 90, 120, 150, 180)


def twin_figures(count: int = TWINS) -> Iterator[Figure]:
    twins = [make_twin(seed) for seed in range(count)]
    section = [(twin, estimate(twin, observe(twin, oven=True, weighings=True))) for twin in twins]
    yield from _covered("8/4 oak, oven section and weighings", section)
    yield from _errors("8/4 oak at day 180, oven section and weighings", section, "2")
    metered, read = [], []
    for twin in twins:
        seen = observe(twin, oven=False, weighings=True, meter_depth_in=0.125, meter_days=METER_DAYS)
        found = estimate(twin, seen)
        metered.append((twin, found))
        if usable_meter(found, len(seen)):
            read.append((twin, found))
    yield from _covered("8/4 oak, weighings and a meter", metered)
    yield from _errors(f"8/4 oak at day 180, weighings and a reading under 28% ({len(read)} twins)", read, "4")
    too_wet = f"8/4 oak at day 180, weighings and a meter, {count - len(read)} of {count} twins too wet to read"
    yield from _errors(too_wet, metered, "no goal: weighings alone do not fix MC")
    quick = [make_twin(1000 + seed, thickness_in=1.0) for seed in range(count)]
    bare = [(twin, estimate(twin, [], target_pct=18.0)) for twin in quick]
    yield from _covered("4/4 oak, nothing measured, to 18%", bare, target_pct=18.0)


def usable_meter(found: CohortEstimate, seen: int) -> bool:
    """Whether any meter reading was dry enough to be used."""
    left_out = sum(isinstance(one, PinReading) for one, _ in found.ignored)
    return left_out < len(METER_DAYS)


def ready_on(twin: Twin, target_pct: float) -> date:
    """The day on which the twin truly is ready; the far future when not within its weather."""
    try:
        return twin.start + timedelta(days=int(np.ceil(twin.course.days_to(target_pct))))
    except OutsideRange:
        return date.max


def covers_now(twin: Twin, found: CohortEstimate) -> bool:
    return found.mean.low <= twin.truth(PAST_DAYS) <= found.mean.high


def covers_ready(twin: Twin, found: CohortEstimate, target_pct: float) -> bool:
    ready, true = found.ready[0], ready_on(twin, target_pct)
    true = max(true, found.as_of)
    return (ready.earliest or date.max) <= true <= (ready.latest or date.max)


def _covered(what: str, pairs: list[tuple[Twin, CohortEstimate]], target_pct: float = 20.0) -> Iterator[Figure]:
    now = 100.0 * np.mean([covers_now(*pair) for pair in pairs])
    ready = 100.0 * np.mean([covers_ready(*pair, target_pct) for pair in pairs])
    yield Figure(f"{what}: 80% interval of MC now covers, {len(pairs)} twins", float(now), "%", "65 to 95")
    yield Figure(f"{what}: 80% interval of the ready date covers", float(ready), "%", "65 to 95")


def _errors(what: str, pairs: list[tuple[Twin, CohortEstimate]], goal: str) -> Iterator[Figure]:
    off = np.array([found.mean.value - twin.truth(PAST_DAYS) for twin, found in pairs])
    least = f"at most {goal}" if goal[0].isdigit() else goal
    yield Figure(f"{what}: mean error", float(np.abs(off).mean()), "% MC", least)
    yield Figure(f"{what}: root mean square error", float(np.sqrt((off**2).mean())), "% MC", least)

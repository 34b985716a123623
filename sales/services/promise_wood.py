"""The wood of an order as the simulation of a promise takes it: lots from stored estimates, kilns from their queue."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from datetime import date

from kilns.services.charge_plan import charge_work_out
from kilns.services.charge_schedules import charge_schedule
from kilns.services.charge_stacks import WoodOfStack
from kilns.services.kiln_queue import CHANGE_OVER_DAYS, KilnQueue, QueuedRun, kiln_queue
from sales.promises.promise import Measure
from sales.promises.simulate import Charge, KilnLine, Lot
from sales.promises.spread import Spread
from sales.promises.wood_days import days_to_target
from yard.models import Cohort, EstimateTarget, Yard
from yard.wood.ranges import OutsideRange
from yard.wood.species import UnknownSpecies, species

AFTER_KILN_DAYS = 3.0
# days to heat the load against insects, cool and let it rest (common practice, no source)
SLACK_PCT = 1.0  # wood at 8.6% does for who asked for 8%: a meter is no finer; our own choice
RunDays = Callable[["KilnQueue", Cohort, float], tuple[Spread, bool]]


@dataclass(frozen=True, slots=True)
class StackWood:
    """Wood that still dries: a cohort with its stored estimate, and how many green board feet are needed of it."""

    cohort: Cohort
    bf: float


@dataclass(frozen=True)
class Planned:
    """What goes into the simulation; `notes` are what is guessed or not known."""

    lots: tuple[Lot, ...]
    kilns: tuple[KilnLine, ...] = ()
    measures: tuple[Measure, ...] = ()
    notes: tuple[str, ...] = field(default=())


def wood_planned(
    woods: Sequence[StackWood], *, dry_pieces: int, target_pct: float, today: date, queues: Sequence[KilnQueue],
    targets: Mapping[int, Sequence[EstimateTarget]], run_days: RunDays,
) -> Planned:  # fmt: skip
    """Lots and kilns for wood that dries and dry pieces; no query of its own.

    Wood whose estimate names a date for the MC that is asked for needs no kiln; other wood goes with the run that its
    stack is planned for or, without one, into the kiln that is free first, by capacity.
    """
    lots = [Lot("dry", "Dry wood")] if dry_pieces or not woods else []
    measures, notes, waiting = [], [], []
    in_run = {stack_id: (queue, run) for queue in queues for run in queue.runs for stack_id in run.stack_ids}
    extra: dict[int, list[Charge]] = {}
    joined: dict[str, list[str]] = {}
    for wood in woods:
        key, name = f"cohort {wood.cohort.pk}", wood_name(wood.cohort)
        air, needs_kiln = _air(wood.cohort, targets.get(wood.cohort.estimate_id, ()), target_pct, today)
        charge = ""
        if wood.cohort.stack_id in in_run:
            _, run = in_run[wood.cohort.stack_id]
            charge, air = f"run {run.run_id}", None if run.running else air
            joined.setdefault(charge, []).append(key)
        elif needs_kiln:
            charge = "new"
            waiting.append((wood, Lot(key, name, air, charge, AFTER_KILN_DAYS)))
            continue
        lots.append(Lot(key, name, air, charge, AFTER_KILN_DAYS if charge else 0.0))
    lots += _into_kilns(waiting, queues, today, target_pct, run_days, extra, notes)
    for wood in woods:
        measures += _measures(wood.cohort)
    kilns = tuple(_line(queue, joined, extra.get(queue.kiln_id, []), today) for queue in queues)
    return Planned(tuple(lots), kilns, tuple(measures), tuple(notes))


def wood_name(cohort: Cohort) -> str:
    """A wood of a stack as a person says it."""
    try:
        return f"{species(cohort.species_key).plain_name.capitalize()} of stack {cohort.stack.tag}"
    except UnknownSpecies:
        return f"Wood of stack {cohort.stack.tag}"


def targets_of(cohorts: Iterable[Cohort]) -> dict[int, list[EstimateTarget]]:
    """The dates of the cohorts' estimates by estimate: one query."""
    found: dict[int, list[EstimateTarget]] = {}
    for row in EstimateTarget.objects.filter(estimate__in=[one.estimate_id for one in cohorts if one.estimate_id]):
        found.setdefault(row.estimate_id, []).append(row)
    return found


def usual_run_days(queue: KilnQueue, cohort: Cohort, target_pct: float) -> tuple[Spread, bool]:
    """Days as the kiln's closed runs took them: quick, for a list."""
    low, middle, high = queue.usual_days
    return Spread.around(middle, low, high), True


def worked_run_days(yard: Yard, today: date) -> RunDays:
    """Days by the drying model in the kiln's own air, as a charge is planned: seconds, for one order."""

    def days(queue: KilnQueue, cohort: Cohort, target_pct: float) -> tuple[Spread, bool]:
        wood = WoodOfStack(_as_it_goes_in(cohort, yard.kiln_target_pct), 1.0)
        try:
            schedule, _ = charge_schedule(None, wood, yard)
            found = charge_work_out(
                kiln=queue.kiln, woods=[wood], schedule=schedule, target_mc_pct=target_pct, start_on=today, yard=yard
            )
        except OutsideRange:
            return usual_run_days(queue, cohort, target_pct)
        low, middle, high = found.days_all
        return Spread.around(middle, low, high), False

    return days


def queues_of(today: date) -> list[KilnQueue]:
    """The kilns with their runs: a fixed number of queries."""
    return kiln_queue(today=today)


def _as_it_goes_in(cohort: Cohort, entry_pct: float) -> Cohort:
    """The cohort as it will be at the kiln's door: no wetter than the kiln takes it."""
    now = copy(cohort)
    if cohort.estimate and cohort.estimate.mean_pct > entry_pct:
        now.estimate = copy(cohort.estimate)
        now.estimate.core_pct = entry_pct + max(0.0, cohort.estimate.core_pct - cohort.estimate.mean_pct)
        now.estimate.mean_pct = entry_pct
    return now


def _air(
    cohort: Cohort, targets: Sequence[EstimateTarget], target_pct: float, today: date
) -> tuple[Spread | None, bool]:
    """Days outdoors, and whether a kiln must follow."""
    if cohort.estimate and cohort.estimate.mean_pct <= target_pct + SLACK_PCT:
        return None, False
    dry_enough = [one for one in targets if one.target_mc_pct <= target_pct + SLACK_PCT and one.mid_on is not None]
    own = next((one for one in targets if one.is_own), None)
    row = max(dry_enough, key=lambda one: one.target_mc_pct, default=own)
    if row is None:
        return days_to_target(today, None, None, None, 0.0), True
    return days_to_target(today, row.low_on, row.mid_on, row.high_on, row.reached_now), not dry_enough


def _into_kilns(
    waiting: list[tuple[StackWood, Lot]], queues: Sequence[KilnQueue], today: date, target_pct: float,
    run_days: RunDays, extra: dict[int, list[Charge]], notes: list[str],
) -> list[Lot]:  # fmt: skip
    """Lots with their charge: what is ready first goes first, into the kiln that is free first, as far as it holds."""
    if waiting and not queues:
        notes.append("There is no kiln: only drying in the air is reckoned with.")
        return [Lot(lot.key, lot.name, days_to_target(today, None, None, None, 0.0)) for _, lot in waiting]
    found: list[Lot] = []
    waiting.sort(key=lambda pair: (pair[1].air.mid_days if pair[1].air else 0.0, pair[1].key))
    left = list(waiting)
    queue = min(queues, key=lambda one: (one.free_from(today, 0.9), one.kiln_id), default=None)
    while left and queue is not None:
        batch, room = [], None
        for pair in left:
            room = _capacity_bf(queue, pair[0].cohort) if room is None else room
            if batch and pair[0].bf > room:
                break
            batch.append(pair)
            room -= pair[0].bf
        left = left[len(batch) :]
        found += _one_charge(batch, queue, target_pct, run_days, extra, notes)
    return found


def _one_charge(
    batch: list[tuple[StackWood, Lot]], queue: KilnQueue, target_pct: float, run_days: RunDays,
    extra: dict[int, list[Charge]], notes: list[str],
) -> list[Lot]:  # fmt: skip
    told = [(pair, *run_days(queue, pair[0].cohort, target_pct)) for pair in batch]
    told.sort(key=lambda one: -one[1].mid_days)
    charges = extra.setdefault(queue.kiln_id, [])
    key = f"new {queue.kiln_id}.{len(charges)}"
    charges.append(Charge(key, "ours", told[0][1], lots=tuple(pair[1].key for pair, _, _ in told)))
    if any(guessed for _, _, guessed in told):
        days = f"{told[0][1].low_days:.0f} to {told[0][1].high_days:.0f} days"
        notes.append(f"The run in {queue.name} is taken as its runs usually are: {days}.")
    return [Lot(lot.key, lot.name, lot.air, key, lot.after_days) for _, lot in batch]


def _capacity_bf(queue: KilnQueue, cohort: Cohort) -> float:
    try:
        return queue.capacity_bf(max(1.0, int(cohort.thickness_in * 4 + 1e-6) / 4))
    except OutsideRange:
        return 0.0  # a charge of its own


def _line(queue: KilnQueue, joined: Mapping[str, list[str]], extra: list[Charge], today: date) -> KilnLine:
    runs = tuple(_queued(run, joined, today) for run in queue.runs)
    return KilnLine(f"{queue.kiln_id}", queue.name, (*runs, *extra), CHANGE_OVER_DAYS)


def _queued(run: QueuedRun, joined: Mapping[str, list[str]], today: date) -> Charge:
    key = f"run {run.run_id}"
    starts = float((run.start_on - today).days)
    starts = min(starts, -0.01) if run.running else max(starts, 0.0)
    days = Spread.around(run.days_mid, run.days_low, run.days_high)
    return Charge(key, run.name, days, starts, tuple(joined.get(key, ())))


def _measures(cohort: Cohort) -> list[Measure]:
    """What would narrow the wood's own date, as its estimate says."""
    rows = cohort.estimate.narrow if cohort.estimate else []
    words = {"weighing": "Weigh a sample", "oven section": "Dry a section in the oven", "meter": "Take a meter reading"}
    return [
        Measure(
            f"cohort {cohort.pk}", f"{words.get(one['what'], one['what'])} of {wood_name(cohort)}", one["saved_share"]
        )
        for one in rows
        if one.get("saved_share", 0) > 0.02
    ]


__all__ = [
    "AFTER_KILN_DAYS", "Planned", "StackWood", "queues_of", "targets_of", "usual_run_days", "wood_name",
    "wood_planned", "worked_run_days",
]  # fmt: skip

"""Runs: planned, started, ended. Only this module writes the runs and which stacks are in them."""

from collections.abc import Sequence
from datetime import date, datetime
from functools import partial
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from kilns.models import Kiln, KilnSensor, Phase, Run, RunStack, RunState, Schedule, SensorPlace
from kilns.services.alarms import alarms_check
from kilns.services.run_phases import SetPoints, phase_begin, phase_end
from yard.models import BayAir, Person, Stack
from yard.services.bays import bay_change
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot
from yard.services.memberships import listed, when
from yard.services.stacks import stack_move
from yard.services.stale_estimates import estimates_refresh_stack
from yard.services.stays import check_not_in_future

CHANGEABLE = ("name", "planned_start_on", "target_mc_pct", "note")


@transaction.atomic
def run_plan(
    *,
    kiln: Kiln,
    stacks: Sequence[Stack],
    schedule: Schedule | None,
    target_mc_pct: float,
    by: Person | None,
    planned_start_on: date | None = None,
    plan: dict[str, Any] | None = None,
    name: str = "",
    note: str = "",
) -> Run:
    """Plan a run of stacks in a kiln; `plan` is what was expected, as `ChargeWorkedOut.as_plan` gives it.

    Errors: ValidationError for a closed kiln, no stack, one taken down, or one that is in another run already.
    """
    if kiln.closed_on is not None:
        raise ValidationError(f"{kiln.name} is closed: choose another kiln, or use it again.")
    if not stacks:
        raise ValidationError({"stacks": "Choose at least one stack."})
    stacks = _locked_stacks(stacks)
    _refuse_busy(stacks)
    name = " ".join(name.split())[:60] or _name(kiln)
    run = Run(
        kiln=kiln, name=name, schedule=schedule, target_mc_pct=target_mc_pct, planned_start_on=planned_start_on,
        plan=plan or {}, note=note.strip(),
    )  # fmt: skip
    run.clean_fields(exclude=["kiln", "schedule", "plan", "closing"])
    run.save(force_insert=True)
    RunStack.objects.bulk_create(RunStack(run=run, stack=stack) for stack in stacks)
    history_add(run, by=by, action="planned", note=listed(stack.tag for stack in stacks))
    return run


@transaction.atomic
def run_change(*, run: Run, by: Person | None, version: int, **fields: Any) -> Run:
    """Change name, start, target or note of a run seen at `version`. Errors: ChangedMeanwhile; ValidationError."""
    row = run_locked(run)
    if row.version != version:
        raise ChangedMeanwhile(row)
    unknown = fields.keys() - set(CHANGEABLE)
    if unknown:
        raise TypeError(f"not a field that is changed so: {', '.join(sorted(unknown))}")
    before = snapshot(row, fields)
    for field, value in fields.items():
        setattr(row, field, value)
    row.clean_fields(exclude=["kiln", "schedule", "plan", "closing"])
    changes = changes_between(before, snapshot(row, fields))
    return run_saved(row, by, "changed", changes) if changes else row


@transaction.atomic
def run_start(
    *, run: Run, by: Person | None, at: datetime, points: SetPoints | None = None, meter_kwh: float | None = None
) -> Run:
    """Start a planned run: its stacks are moved into the kiln's bay, and the warm-up begins.

    Errors: ValidationError for a run that is not planned, another that is going on there, a stack that cannot be
    moved at that moment, or a future moment. The program switches nothing.
    """
    check_not_in_future(at)
    row = run_locked(run)
    if row.state != RunState.PLANNED:
        raise ValidationError(f"{row.name} is {row.get_state_display().lower()}: only a planned run is started.")
    _refuse_kiln(row, at)
    _let_air_be_measured(row.kiln, by)
    _load(row, by, at)
    row.state, row.phase, row.step = RunState.RUNNING, Phase.WARM_UP, 1
    row.started_at, row.energy_start_kwh = at, meter_kwh
    try:
        with transaction.atomic():
            run_saved(row, by, "started", {})
    except IntegrityError as error:
        raise ValidationError(f"Another run is going on in {row.kiln.name}: close it first.") from error
    phase_begin(run=row, phase=Phase.WARM_UP, step=1, at=at, points=points or SetPoints(), by=by)
    return row


@transaction.atomic
def run_go_on(
    *, run: Run, by: Person | None, version: int, phase: str, step: int, at: datetime, points: SetPoints, note: str = ""
) -> Run:
    """Write down that the next phase or step began, with the set points that the person set.

    Errors: ChangedMeanwhile; ValidationError for a run that is not going on, a step that its schedule does not
    have, or a moment before the last change.
    """
    check_not_in_future(at)
    row = run_locked(run)
    if row.version != version:
        raise ChangedMeanwhile(row)
    if row.state != RunState.RUNNING:
        raise ValidationError(f"{row.name} is {row.get_state_display().lower()}.")
    if row.schedule is not None and not 1 <= step <= max(1, row.schedule.steps.count()):
        raise ValidationError({"step": f"The schedule has {row.schedule.steps.count()} steps."})
    before = {"phase": row.get_phase_display(), "step": row.step}
    phase_begin(run=row, phase=phase, step=step, at=at, points=points, by=by, note=note)
    row.phase, row.step = phase, step
    after = {"phase": row.get_phase_display(), "step": row.step}
    return run_saved(row, by, "went on", changes_between(before, after))


@transaction.atomic
def run_give_up(*, run: Run, by: Person | None, reason: str, at: datetime | None = None) -> Run:
    """Give a planned or a running run up; its stacks stay where they stand, and what was seen of it stays.

    Errors: ValidationError without a reason, or for a run that has ended.
    """
    row = run_locked(run)
    if row.state not in (RunState.PLANNED, RunState.RUNNING):
        raise ValidationError(f"{row.name} is {row.get_state_display().lower()} already.")
    reason = " ".join(reason.split())
    if not reason:
        raise ValidationError({"reason": "Say why: the next run may learn from it."})
    if row.started_at is not None:
        row.closed_at = at or timezone.now()
        phase_end(run=row, at=row.closed_at)
    row.state = RunState.GIVEN_UP
    row.note = f"{row.note}\nGiven up: {reason}".strip()
    return run_saved(row, by, "given up", {}, reason)


def run_locked(run: Run) -> Run:
    """The run as it is now, held until the transaction ends."""
    return Run.objects.select_for_update().get(pk=run.pk)


def run_saved(row: Run, by: Person | None, action: str, changes: dict[str, Any], note: str = "") -> Run:
    """Save a locked run with its history."""
    row.version += 1
    row.save()
    history_add(row, by=by, action=action, changes=changes, note=note)
    if row.started_at is not None:  # its alarms begin, change and end with it
        transaction.on_commit(partial(alarms_check, kiln=row.kiln), robust=True)
    return row


def _refuse_kiln(run: Run, at: datetime) -> None:
    """A kiln that is closed, or busy at that moment, takes no run."""
    if run.kiln.closed_on is not None:
        raise ValidationError(f"{run.kiln.name} is closed: use it again first, or plan the run in another kiln.")
    others = Run.objects.filter(kiln=run.kiln).exclude(pk=run.pk)
    other = others.running().first()
    if other is not None:
        raise ValidationError(f"{other.name} is going on in {run.kiln.name}: close it first.")
    last = others.filter(started_at__isnull=False, closed_at__gt=at).order_by("-closed_at").first()
    if last is not None:
        words = f"{last.name} was in {run.kiln.name} until {when(last.closed_at)}: choose that moment or a later one."
        raise ValidationError({"at": words})


def _locked_stacks(stacks: Sequence[Stack]) -> list[Stack]:
    """As they are now, held until the transaction ends: of two plans at once the second sees the first."""
    return list(Stack.objects.select_for_update().filter(pk__in=[stack.pk for stack in stacks]).order_by("pk"))


def _refuse_busy(stacks: Sequence[Stack], but: Run | None = None) -> None:
    down = [stack.tag for stack in stacks if stack.taken_down_at is not None]
    if down:
        raise ValidationError({"stacks": f"Taken down: {listed(down)}."})
    queued = Run.objects.queued().exclude(pk=but.pk if but else None)
    for one in RunStack.objects.filter(stack__in=stacks, run__in=queued).select_related("run", "stack"):
        state = one.run.get_state_display().lower()
        raise ValidationError({"stacks": f"{one.stack.tag} is in {one.run.name} already, which is {state}."})


def _name(kiln: Kiln) -> str:
    """The next name of a kiln's runs: Sun kiln 4."""
    return f"{kiln.name} {kiln.runs.count() + 1}"[:60]


def _let_air_be_measured(kiln: Kiln, by: Person | None) -> None:
    """The yard takes the bay's air from the kiln's own sensor from now on, where there is one."""
    places = KilnSensor.objects.filter(kiln=kiln, until__isnull=True, place=SensorPlace.AIR_IN)
    measured = places.select_related("sensor").order_by("id").first()
    bay = kiln.bay
    if measured is not None and (bay.air != BayAir.SENSOR or bay.sensor_id != measured.sensor_id):
        bay_change(bay=bay, by=by, version=bay.version, air=BayAir.SENSOR, sensor=measured.sensor)


def _follow_restacked(run: Run) -> None:
    """A stack that was built anew since the run was planned, as to fit the kiln, is followed to where its wood is.

    Of several that were built from it those go on that stand in the kiln; where none does, nobody knows which.
    """
    for one in run.run_stacks.filter(stack__taken_down_at__isnull=False).select_related("stack"):
        found = Stack.objects.standing().filter(cohorts__came_from__stack=one.stack_id).distinct().order_by("pk")
        anew = [stack for stack in found if stack.bay_id == run.kiln.bay_id] or list(found)
        if len(anew) > 1 and anew[0].bay_id != run.kiln.bay_id:
            tags = listed(stack.tag for stack in anew)
            raise ValidationError(f"{one.stack.tag} was built anew into {tags}: plan the run with those that go in.")
        _refuse_busy(anew, but=run)
        known = set(run.run_stacks.values_list("stack_id", flat=True))
        RunStack.objects.bulk_create(RunStack(run=run, stack=stack) for stack in anew if stack.pk not in known)
        if anew:
            one.delete()


def _load(run: Run, by: Person | None, at: datetime) -> None:
    _follow_restacked(run)
    for one in run.run_stacks.select_related("stack"):
        if one.stack.taken_down_at is not None:
            raise ValidationError(f"{one.stack.tag} was taken down: plan the run anew without it.")
        if one.stack.bay_id != run.kiln.bay_id:
            stack_move(stack=one.stack, bay=run.kiln.bay, at=at, by=by, note=f"into {run.name}")
            estimates_refresh_stack(stack=one.stack, because=f"moved into {run.name}")

"""Schedules of the yard's own, and those taken over from a published code. Only this module writes their tables."""

from collections.abc import Sequence
from typing import TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Value
from django.db.models.functions import Lower
from django.utils import timezone

from kilns.models import Schedule, ScheduleStep
from kilns.physics import schedules as physics
from kilns.physics.schedules import NoSchedule, Step, assemble
from yard.models import Person
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot

STEP_FIELDS = ("mc_from_pct", "dry_bulb_f", "wet_bulb_f", "rh_pct", "emc_pct")


class ScheduleFields(TypedDict, total=False):
    """What a person may set on a schedule, beside its steps."""

    name: str
    species_key: str
    thickness_in: float | None
    note: str


@transaction.atomic
def schedule_add(*, by: Person | None, steps: Sequence[Step], **fields: Unpack[ScheduleFields]) -> Schedule:
    """Add a schedule of the yard's own. Errors: ValidationError for a name taken, or steps that make none."""
    return _added(by, steps, dict(fields), code="", provenance="the yard's own schedule")


@transaction.atomic
def schedule_take_over(
    *, by: Person | None, code: str, elevation_ft: float = 0.0, provenance: str = "", **fields: Unpack[ScheduleFields]
) -> Schedule:
    """Keep a published schedule as the yard's own: it keeps its code and where it comes from, and may be changed.

    Parameters: provenance of the choice, else that of the code's tables. Errors: ValidationError for a code that the
    tables do not have, or a name taken.
    """
    try:
        published = assemble(code, elevation_ft)
    except NoSchedule as error:
        raise ValidationError(str(error)) from None
    told = {"note": "\n".join(published.notes)} | fields
    return _added(by, published.steps, told, code=published.code, provenance=provenance or published.provenance)


@transaction.atomic
def schedule_change(
    *, schedule: Schedule, by: Person | None, version: int, steps: Sequence[Step], **fields: Unpack[ScheduleFields]
) -> Schedule:
    """Change a schedule seen at `version`; steps that differ from its code's are the yard's own from then on.

    Errors: ChangedMeanwhile; ValidationError as for `schedule_add`, and while a run is going on by it.
    """
    row = Schedule.objects.select_for_update().get(pk=schedule.pk)
    if row.version != version:
        raise ChangedMeanwhile(row)
    before, had = snapshot(row, fields), step_words(row)
    _set(row, dict(fields))
    changes = changes_between(before, snapshot(row, fields))
    ordered = _ordered(row.name, steps)
    words = [_words(step) for step in ordered]
    if words != had:
        if row.runs.running().exists():
            raise ValidationError("A run is going on by this schedule: its steps are changed when it is closed.")
        changes["steps"] = [had, words]
        if row.code and "changed" not in row.provenance:
            row.provenance = f"{row.provenance}; changed by the yard"[:120]
        row.steps.all().delete()
        _write_steps(row, ordered)
    if changes:
        row.version += 1
        row.save()
        history_add(row, by=by, action="changed", changes=changes)
    return row


@transaction.atomic
def schedule_hide(*, schedule: Schedule, by: Person | None) -> Schedule:
    """Take a schedule off the list, or back on it when it is hidden; runs keep it."""
    row = Schedule.objects.select_for_update().get(pk=schedule.pk)
    row.hidden_at = timezone.now() if row.hidden_at is None else None
    row.version += 1
    row.save()
    history_add(row, by=by, action="hidden" if row.hidden_at else "shown again")
    return row


def physics_of(schedule: Schedule) -> physics.Schedule:
    """The schedule as the physics take it."""
    rows = list(schedule.steps.all())
    steps = tuple(Step(*(getattr(row, name) for name in STEP_FIELDS)) for row in rows)
    notes = (schedule.note,) if schedule.note else ()
    source = "AH-188" if schedule.code else "COMMON"
    return physics.Schedule(schedule.code or schedule.name, steps, source, schedule.provenance, notes)


def step_words(schedule: Schedule) -> list[str]:
    """The steps in words, for history."""
    return [_words(step) for step in physics_of(schedule).steps]


def _added(by: Person | None, steps: Sequence[Step], fields: dict, *, code: str, provenance: str) -> Schedule:
    row = Schedule(code=code, provenance=provenance[:120])
    _set(row, fields)
    ordered = _ordered(row.name, steps)
    row.save(force_insert=True)
    _write_steps(row, ordered)
    history_add(row, by=by, action="added", note=code)
    return row


def _set(row: Schedule, fields: dict) -> None:
    unknown = fields.keys() - ScheduleFields.__annotations__.keys()
    if unknown:
        raise TypeError(f"not a field of a schedule: {', '.join(sorted(unknown))}")
    for name, value in fields.items():
        setattr(row, name, value.strip() if isinstance(value, str) else value)
    row.clean_fields()
    same = Schedule.objects.alias(low=Lower("name")).filter(low=Lower(Value(row.name))).exclude(pk=row.pk).first()
    if same is not None:
        raise ValidationError({"name": f"Another schedule is called {same.name}: choose another name."})


def _ordered(name: str, steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps from green on, as the physics check them."""
    try:
        return physics.own_schedule(name, steps).steps
    except NoSchedule as error:
        raise ValidationError(error.hint) from None


def _write_steps(row: Schedule, steps: Sequence[Step]) -> None:
    ScheduleStep.objects.bulk_create(
        ScheduleStep(schedule=row, position=place, **{name: getattr(step, name) for name in STEP_FIELDS})
        for place, step in enumerate(steps, 1)
    )


def _words(step: Step) -> str:
    begins = "green" if step.from_green else f"{step.mc_from_pct:g}%"
    return f"{begins}: {step.dry_bulb_f:.1f}/{step.wet_bulb_f:.1f} °F"

"""The phases and steps of runs with their set points. Only this module writes their table; the run service calls it."""

from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError

from kilns.models import Phase, Run, RunPhase
from yard.models import Person
from yard.services.memberships import when
from yard.wood.humid_air import rh_pct_from_wet_bulb
from yard.wood.humid_air import wet_bulb_f as wet_bulb_of
from yard.wood.moisture import equilibrium_mc_pct
from yard.wood.ranges import OutsideRange

ORDER = tuple(Phase.values)


@dataclass(frozen=True, slots=True)
class SetPoints:
    """What the person set: dry bulb, and wet bulb or humidity; the EMC follows."""

    dry_bulb_f: float | None = None
    wet_bulb_f: float | None = None
    rh_pct: float | None = None
    emc_pct: float | None = None


def set_points(
    dry_bulb_f: float | None, wet_bulb_f: float | None, rh_pct: float | None, elevation_ft: float = 0.0
) -> SetPoints:
    """Fill in what follows: humidity from the wet bulb or the wet bulb from the humidity, and the EMC. OutsideRange."""
    if dry_bulb_f is None:
        return SetPoints(None, wet_bulb_f, rh_pct)
    if rh_pct is None and wet_bulb_f is not None:
        rh_pct = rh_pct_from_wet_bulb(dry_bulb_f, wet_bulb_f, elevation_ft)
    if rh_pct is None:
        return SetPoints(dry_bulb_f)
    if wet_bulb_f is None:
        try:
            wet_bulb_f = wet_bulb_of(dry_bulb_f, rh_pct, elevation_ft)
        except OutsideRange:
            wet_bulb_f = None
    return SetPoints(dry_bulb_f, wet_bulb_f, rh_pct, equilibrium_mc_pct(dry_bulb_f, rh_pct))


def phase_begin(
    *, run: Run, phase: str, step: int, at: datetime, points: SetPoints, by: Person | None, note: str = ""
) -> RunPhase:
    """End what goes on and begin a phase or a step. Errors: ValidationError for a moment before the last change."""
    phase_end(run=run, at=at)
    row = RunPhase(
        run=run, phase=phase, step=step, began_at=at, dry_bulb_f=points.dry_bulb_f, wet_bulb_f=points.wet_bulb_f,
        rh_pct=points.rh_pct, emc_pct=points.emc_pct, by=by, note=" ".join(note.split())[:300],
    )  # fmt: skip
    row.clean_fields(exclude=["run", "by"])
    row.save(force_insert=True)
    return row


def phase_end(*, run: Run, at: datetime) -> None:
    """End what goes on. Errors: ValidationError for a moment before it began."""
    last = run.phases.order_by("-began_at", "-id").first()
    if last is None:
        return
    if at < last.began_at:
        name = last.get_phase_display()
        raise ValidationError({"at": f"{name} began on {when(last.began_at)}: choose that moment or a later one."})
    if last.ended_at is None:
        last.ended_at = at
        last.save(update_fields=["ended_at"])

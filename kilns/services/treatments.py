"""Records of heat treatment: what the instruments showed, by whom written down. Only this module writes their table."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from kilns.models import Run, Treatment
from kilns.physics.treatments import HeatTreatment
from kilns.services.core_hold import HoldNow, ModelHold
from yard.models import Person
from yard.quantities import temp
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot

EDITABLE = ("slowest",)


@transaction.atomic
def treatment_keep_probe(*, run: Run, hold: HoldNow, slowest: str, by: Person | None) -> Treatment:
    """Keep a treatment that probes in the wood have proved; the same hold once. Errors: ValidationError else."""
    probe = hold.slowest
    if probe is None:
        raise ValidationError("No probe in the wood was read in that time.")
    if not hold.proved or probe.began_at is None or probe.proved_at is None or probe.lowest_held_f is None:
        raise ValidationError(
            f"{probe.name} was at {temp(hold.treatment.core_f)} for {probe.longest_min:.0f} minutes without a break; "
            f"{hold.treatment.hold_min:g} are needed. {probe.gaps}".strip()
        )
    last = max(one.proved_at for one in hold.probes if one.proved_at is not None)
    lowest = min(one.lowest_held_f for one in hold.probes if one.lowest_held_f is not None)
    evidence = {
        "probes": [
            {"name": one.name, "longest_min": round(one.longest_min, 1), "highest_f": round(one.highest_f, 1),
             "readings": one.readings, "gaps": one.gaps}
            for one in hold.probes
        ],
        "unread": list(hold.unread),
    }  # fmt: skip
    return _keep(run, hold.treatment, "probe", probe.longest_min, probe.began_at, last, lowest, slowest, evidence, by)


@transaction.atomic
def treatment_keep_model(
    *, run: Run, treatment: HeatTreatment, hold: ModelHold, by: Person | None, remarks: Sequence[str] = ()
) -> Treatment:
    """Keep a treatment that the model proves from the measured air; `remarks` are printed with it.

    Errors: ValidationError where it does not.
    """
    history = hold.history
    if history.needs_probe:
        raise ValidationError(" ".join(history.reasons))
    if hold.began_at is None or hold.proved_at is None or hold.lowest_held_f is None:
        raise ValidationError(
            f"The core came to {temp(hold.highest_f)} and was at {temp(treatment.core_f)} for "
            f"{history.longest_hold_min:.0f} minutes; {treatment.hold_min:g} are needed."
        )
    evidence = {
        "thickness_in": round(hold.piece.thickness_in, 3), "width_in": round(hold.piece.width_in, 1),
        "species_key": hold.piece.species_key, "mc_pct": round(hold.piece.mc_pct, 1),
        "start_f": round(hold.start_f, 1), "highest_f": round(hold.highest_f, 1), "readings": hold.readings,
        "hottest_air_f": round(hold.hottest_air_f, 1), "reasons": [*history.reasons, *remarks],
    }  # fmt: skip
    return _keep(
        run, treatment, "model", history.longest_hold_min, hold.began_at, hold.proved_at, hold.lowest_held_f,
        hold.piece.words, evidence, by,
    )  # fmt: skip


@transaction.atomic
def treatment_change(*, treatment: Treatment, by: Person | None, version: int, **fields: Any) -> Treatment:
    """Change how the slowest piece is described, seen at `version`; what was measured stays, and history tells.

    Errors: ChangedMeanwhile; ValidationError without words.
    """
    row = Treatment.objects.select_for_update().get(pk=treatment.pk)
    if row.version != version:
        raise ChangedMeanwhile(row)
    unknown = fields.keys() - set(EDITABLE)
    if unknown:
        raise TypeError(f"not a field that is changed: {', '.join(sorted(unknown))}")
    before = snapshot(row, fields)
    for name, value in fields.items():
        setattr(row, name, " ".join(value.split()))
    row.clean_fields(exclude=["run", "by", "evidence"])
    changes = changes_between(before, snapshot(row, fields))
    if changes:
        row.version += 1
        row.save()
        history_add(row, by=by, action="changed", changes=changes)
    return row


def _keep(
    run: Run, treatment: HeatTreatment, proved_by: str, longest_min: float, began_at: datetime, ended_at: datetime,
    lowest_f: float, slowest: str, evidence: dict[str, Any], by: Person | None,
) -> Treatment:  # fmt: skip
    Run.objects.select_for_update().get(pk=run.pk)  # a second click waits here
    had = run.treatments.filter(kind=treatment.key, proved_by=proved_by, began_at=began_at, ended_at=ended_at).first()
    if had is not None:
        return had
    row = Treatment(
        run=run, kind=treatment.key, proved_by=proved_by, core_f=treatment.core_f, hold_min=round(longest_min, 1),
        began_at=began_at, ended_at=ended_at, lowest_core_f=round(lowest_f, 1), slowest=slowest[:120],
        evidence=evidence | {"needed_min": treatment.hold_min}, by=by,
    )  # fmt: skip
    row.clean_fields(exclude=["run", "by", "evidence"])
    row.save(force_insert=True)
    history_add(row, by=by, action="added", note=run.name)
    return row

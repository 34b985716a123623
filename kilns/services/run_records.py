"""What was seen of a run: condensate, the meter, notes, prong tests, degrade, final MC by board. Append-only.

Only this module writes these tables; a wrong record is voided with a reason.
"""

import uuid
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from kilns.models import Condensate, EnergyReading, FinalReading, Run, RunNote, RunState
from kilns.physics.equalising import prong_test
from yard.models import MeterReading, Person, Slab
from yard.services.moisture_records import meter_reading_record, moisture_record_void
from yard.services.records import record_once, record_void
from yard.services.refused import Refused
from yard.services.stays import check_not_in_future
from yard.wood.ranges import require_range

MOST_WATER_LB, MOST_KWH = 5000.0, 10_000_000.0
# guards against a slip of the hand (our own)


def condensate_record(
    *,
    run: Run,
    water_lb: float,
    by: Person | None,
    at: datetime | None = None,
    client_key: uuid.UUID | None = None,
    typed_value: str = "",
    typed_unit: str = "",
    note: str = "",
) -> tuple[Condensate, bool]:
    """Keep water caught since the last time and say whether it is new. Errors: ValidationError; OutsideRange."""
    moment = _moment(run, at)
    require_range("water caught", water_lb, 0.0, MOST_WATER_LB, "lb")
    return record_once(
        Condensate, client_key=client_key, run=run, water_lb=water_lb, by=by, made_at=moment, typed_value=typed_value,
        typed_unit=typed_unit, note=note,
    )  # fmt: skip


def energy_record(
    *,
    run: Run,
    meter_kwh: float,
    by: Person | None,
    at: datetime | None = None,
    client_key: uuid.UUID | None = None,
    note: str = "",
) -> tuple[EnergyReading, bool]:
    """Keep what the meter showed. Errors: ValidationError for a meter that runs backwards; OutsideRange."""
    moment = _moment(run, at)
    require_range("meter", meter_kwh, 0.0, MOST_KWH, "kWh")
    before = run.energy_readings.standing().filter(made_at__lte=moment).order_by("-made_at").first()
    shown = before.meter_kwh if before is not None else run.energy_start_kwh
    if shown is not None and meter_kwh < shown:
        raise ValidationError({"meter_kwh": f"It showed {shown:g} kWh before: a meter does not run backwards."})
    after = run.energy_readings.standing().filter(made_at__gt=moment).order_by("made_at").first()
    if after is not None and meter_kwh > after.meter_kwh:
        raise ValidationError(
            {"meter_kwh": f"It showed {after.meter_kwh:g} kWh later: a meter does not run backwards."}
        )
    return record_once(
        EnergyReading, client_key=client_key, run=run, meter_kwh=meter_kwh, by=by, made_at=moment, note=note,
        typed_value=f"{meter_kwh:g}", typed_unit="kWh",
    )  # fmt: skip


def run_note_record(
    *,
    run: Run,
    note: str,
    by: Person | None,
    kind: str = "note",
    value: float | None = None,
    slab: Slab | None = None,
    at: datetime | None = None,
    client_key: uuid.UUID | None = None,
) -> tuple[RunNote, bool]:
    """Keep a note, a prong test (`value` inward bend [in]), or degrade of a slab.

    Errors: ValidationError; OutsideRange.
    """
    moment = _moment(run, at)
    note = " ".join(note.split())[:500]
    if kind == "prong":
        if value is None:
            raise ValidationError({"value": "Say how far the prongs bend inward; outward is below 0."})
        prong_test(value)
    elif not note:
        raise ValidationError({"note": "Say what was seen."})
    return record_once(RunNote, client_key=client_key, run=run, kind=kind, value=value, slab=slab, by=by,
                       made_at=moment, note=note)  # fmt: skip


@transaction.atomic
def final_reading_record(
    *,
    run: Run,
    mc_pct: float,
    by: Person | None,
    slab: Slab | None = None,
    shell_pct: float | None = None,
    core_pct: float | None = None,
    at: datetime | None = None,
    client_key: uuid.UUID | None = None,
    by_meter: bool = True,
) -> tuple[FinalReading, bool]:
    """Keep the final MC of one board; measured with a pin meter, the yard's estimate learns from it too.

    Errors: ValidationError; OutsideRange for what no dried board has.
    """
    moment = _moment(run, at)
    require_range("final MC", mc_pct, 3.0, 40.0, "%")
    found, new = record_once(
        FinalReading, client_key=client_key, run=run, slab=slab, mc_pct=mc_pct, shell_pct=shell_pct,
        core_pct=core_pct, by=by, made_at=moment, typed_value=f"{mc_pct:g}", typed_unit="%",
    )  # fmt: skip
    if new and by_meter and slab is not None and slab.cohort is not None:
        meter_reading_record(
            cohort=slab.cohort, slab=slab, reading_pct=mc_pct, by=by, made_at=moment, typed_value=f"{mc_pct:g}",
            typed_unit="%", client_key=_of_meter(found), note=f"final MC, {run.name}",
        )  # fmt: skip
    return found, new


@transaction.atomic
def run_record_void(
    *, record: Condensate | EnergyReading | RunNote | FinalReading, reason: str, by: Person | None
) -> None:
    """Take a record out of the reckoning; with a final MC goes the meter reading that the yard learnt of it.

    Errors: Refused without a reason, or once the run has ended: what it gave is written down. AlreadyVoidedError.
    """
    run = Run.objects.select_for_update().get(pk=record.run_id)
    if run.state != RunState.RUNNING:
        raise Refused(f"{run.name} is {run.get_state_display().lower()}: what it gave is written down.", "reason")
    record_void(record=record, reason=reason, by=by)
    if isinstance(record, FinalReading):
        for reading in MeterReading.objects.standing().filter(client_key=_of_meter(record)):
            moisture_record_void(record=reading, reason=reason, by=by)


def _of_meter(record: FinalReading) -> uuid.UUID:
    return uuid.uuid5(record.client_key, "meter reading")


def _moment(run: Run, at: datetime | None) -> datetime:
    moment = at or timezone.now()
    check_not_in_future(moment)
    if run.state == RunState.PLANNED or run.started_at is None:
        raise ValidationError(f"{run.name} has not begun: start it first.")
    if run.state != RunState.RUNNING:
        raise ValidationError(f"{run.name} is {run.get_state_display().lower()}: what it gave is written down.")
    if moment < run.started_at:
        raise ValidationError({"at": "That was before the run began."})
    return moment

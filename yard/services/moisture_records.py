"""Oven-dried sections and meter readings: what a person found out about the wood's moisture besides weights."""

import uuid
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from yard.models import Cohort, MeterReading, OvenSection, Person, Sample, Slab
from yard.services.cohorts import cohort_mark_stale
from yard.services.records import record_once, record_void
from yard.services.samples import sample_recut
from yard.services.weighings import weighing_record
from yard.wood.meters import PinReading, pin_reading
from yard.wood.moisture import mc_pct

UNCORRECTED_AT_F = 71.6  # °F: where the temperature correction is nothing (PFAFF-GARRAHAN, from memory)


@transaction.atomic
def oven_section_record(
    *,
    cohort: Cohort,
    wet_lb: float,
    oven_dry_lb: float,
    by: Person | None,
    cut_at: datetime | None = None,
    sample: Sample | None = None,
    sample_weight_lb: float | None = None,
    made_at: datetime | None = None,
    client_key: uuid.UUID | None = None,
    typed_value: str = "",
    typed_unit: str = "",
    note: str = "",
) -> tuple[OvenSection, bool]:
    """Keep an oven-dried section: it fixes the MC on the day it was cut.

    With `sample` and `sample_weight_lb`, the weight of what is left of the sample, it gives the sample's
    oven-dry weight; that weight is kept as a weighing too, the first one since the cut. `typed_value` and
    `typed_unit` are those of the sample's weight. Errors: OutsideRange for weights no wood has.
    """
    mc = mc_pct(wet_lb, oven_dry_lb)
    cut = cut_at or made_at or timezone.now()
    weighed = sample is not None and sample_weight_lb is not None
    known = OvenSection.objects.filter(client_key=client_key).exists()
    if weighed and not known and _was_heavier(sample, cut, sample_weight_lb):
        sample = sample_recut(sample=sample, by=by)
    section, new = record_once(
        OvenSection, client_key=client_key, cohort=cohort, sample=sample, wet_lb=wet_lb, oven_dry_lb=oven_dry_lb,
        mc_pct=mc, sample_weight_lb=sample_weight_lb, by=by, cut_at=cut, made_at=made_at or timezone.now(),
        typed_value=typed_value, typed_unit=typed_unit, note=note,
    )  # fmt: skip
    if new and weighed:
        weighing_record(
            sample=sample, weight_lb=sample_weight_lb, by=by, made_at=cut, typed_value=typed_value,
            typed_unit=typed_unit, client_key=uuid.uuid5(section.client_key, "weight of the sample"),
            note="weighed when the section was cut",
        )  # fmt: skip
    if new:
        cohort_mark_stale(cohort_ids=[cohort.pk])
    return section, new


@transaction.atomic
def meter_reading_record(
    *,
    cohort: Cohort,
    reading_pct: float,
    by: Person | None,
    slab: Slab | None = None,
    depth_in: float | None = None,
    wood_temp_f: float | None = None,
    meter_species: str = "",
    made_at: datetime | None = None,
    client_key: uuid.UUID | None = None,
    typed_value: str = "",
    typed_unit: str = "",
    note: str = "",
) -> tuple[MeterReading, bool]:
    """Keep a pin reading, corrected for temperature; one outside the usable range is kept without weight.

    Without `wood_temp_f` no correction is made. Raises OutsideRange for what no meter shows.
    """
    judged = meter_judge(reading_pct, wood_temp_f)
    reading, new = record_once(
        MeterReading, client_key=client_key, cohort=cohort, slab=slab, reading_pct=reading_pct, depth_in=depth_in,
        wood_temp_f=wood_temp_f, meter_species=meter_species, corrected_pct=judged.corrected_pct,
        usable=judged.usable, why_unusable=judged.reason[:200], by=by, made_at=made_at or timezone.now(),
        typed_value=typed_value, typed_unit=typed_unit, note=note,
    )  # fmt: skip
    if new:
        cohort_mark_stale(cohort_ids=[cohort.pk])
    return reading, new


def meter_judge(reading_pct: float, wood_temp_f: float | None) -> PinReading:
    """What may be made of a pin reading; without the wood's temperature it is taken as it stands."""
    judged = pin_reading(reading_pct, UNCORRECTED_AT_F if wood_temp_f is None else wood_temp_f)
    if judged.usable and wood_temp_f is None:
        return PinReading(reading_pct, UNCORRECTED_AT_F, reading_pct, True, "")
    return judged


@transaction.atomic
def moisture_record_void(*, record: OvenSection | MeterReading, reason: str, by: Person | None) -> None:
    """Take a section or a reading out of the reckoning. Errors: AlreadyVoidedError, Refused without a reason.

    The weighing that came with a section stays: the sample did weigh that.
    """
    record_void(record=record, reason=reason, by=by)
    cohort_mark_stale(cohort_ids=[record.cohort_id])


def _was_heavier(sample: Sample, cut: datetime, left_lb: float) -> bool:
    """Whether weighings from before the cut are of a larger piece; a second section of the same day is not one."""
    day = timezone.localdate(cut)
    earlier = sample.weighings.standing().filter(made_at__lt=cut)
    return any(timezone.localdate(one.made_at) < day or one.weight_lb != left_lb for one in earlier)

"""Weighings enter here, online or from a phone's queue: of a sample, and of a whole stack."""

import uuid
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from yard.models import Person, Sample, Stack, StackWeighing, Weighing
from yard.services.cohorts import cohort_mark_stale
from yard.services.records import record_once, record_void
from yard.services.samples import (
    NotStackedError,
    sample_add,
    sample_follow,
    sample_of_slab,
    sample_recut,
    sample_retire,
)
from yard.services.weighing_outlook import (
    ImplausibleWeightError,
    WeighingOutlook,
    stack_weighing_outlook,
    weighing_outlook,
    weight_check,
)

__all__ = [
    "ImplausibleWeightError", "NotStackedError", "WeighingOutlook", "sample_add", "sample_follow",
    "sample_of_slab", "sample_recut", "sample_retire", "stack_weighing_check", "stack_weighing_outlook",
    "stack_weighing_record", "stack_weighing_void", "weighing_check", "weighing_outlook", "weighing_record",
    "weighing_void",
]  # fmt: skip


def weighing_check(
    *, sample: Sample, weight_lb: float, confirmed: bool = False, made_at: datetime | None = None
) -> None:  # fmt: skip
    """Refuse a weight that the wood cannot have; ask again about one that it hardly has.

    Errors: ImplausibleWeightError.
    """
    outlook = weighing_outlook(sample=sample, at=made_at)
    weight_check(outlook=outlook, weight_lb=weight_lb, what=sample.name, confirmed=confirmed)


def stack_weighing_check(*, stack: Stack, weight_lb: float, tare_lb: float, confirmed: bool = False) -> None:
    """The same for a whole stack, by what its slabs weigh dry, green and soaked. Errors: ImplausibleWeightError."""
    if tare_lb >= weight_lb > 0:
        raise ImplausibleWeightError("What is taken off for stickers and bolsters is as heavy as the whole.", False)
    outlook = stack_weighing_outlook(stack=stack)
    weight_check(outlook=outlook, weight_lb=weight_lb - tare_lb, what=f"The wood of {stack.tag}", confirmed=confirmed)


@transaction.atomic
def weighing_record(
    *,
    sample: Sample,
    weight_lb: float,
    by: Person | None,
    made_at: datetime | None = None,
    client_key: uuid.UUID | None = None,
    typed_value: str = "",
    typed_unit: str = "",
    note: str = "",
) -> tuple[Weighing, bool]:
    """Keep a sample's weight and say whether it is new; its cohort's estimate is then out of date."""
    weighing, new = record_once(
        Weighing,
        client_key=client_key,
        sample=sample,
        weight_lb=weight_lb,
        by=by,
        made_at=made_at or timezone.now(),
        typed_value=typed_value,
        typed_unit=typed_unit,
        note=note,
    )
    if new:
        cohort_mark_stale(cohort_ids=[sample.cohort_id])
    return weighing, new


@transaction.atomic
def weighing_void(*, weighing: Weighing, reason: str, by: Person | None) -> None:
    """Take a weighing out of the reckoning. Errors: AlreadyVoidedError, Refused without a reason."""
    record_void(record=weighing, reason=reason, by=by)
    cohort_mark_stale(cohort_ids=[weighing.sample.cohort_id])


@transaction.atomic
def stack_weighing_record(
    *,
    stack: Stack,
    weight_lb: float,
    tare_lb: float = 0.0,
    by: Person | None,
    made_at: datetime | None = None,
    client_key: uuid.UUID | None = None,
    typed_value: str = "",
    typed_unit: str = "",
    note: str = "",
) -> tuple[StackWeighing, bool]:
    """Keep the weight of a whole stack; every cohort in it takes part in it."""
    weighing, new = record_once(
        StackWeighing,
        client_key=client_key,
        stack=stack,
        weight_lb=weight_lb,
        tare_lb=tare_lb,
        by=by,
        made_at=made_at or timezone.now(),
        typed_value=typed_value,
        typed_unit=typed_unit,
        note=note,
    )
    if new:
        cohort_mark_stale(cohort_ids=_cohort_ids_of(stack))
    return weighing, new


@transaction.atomic
def stack_weighing_void(*, weighing: StackWeighing, reason: str, by: Person | None) -> None:
    """Take a whole-stack weighing out of the reckoning. Errors as for `weighing_void`."""
    record_void(record=weighing, reason=reason, by=by)
    cohort_mark_stale(cohort_ids=_cohort_ids_of(weighing.stack))


def _cohort_ids_of(stack: Stack) -> list[int]:
    return list(stack.cohorts.values_list("pk", flat=True))

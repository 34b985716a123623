"""Weighings enter here, online or from a phone's queue: samples, single weighings and whole-stack weighings."""

import uuid
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from yard.models import Person, Sample, Slab, Stack, StackWeighing, Weighing
from yard.services.cohorts import cohort_mark_stale
from yard.services.history import history_add
from yard.services.records import record_once, record_void
from yard.wood.board_feet import IN3_PER_BF
from yard.wood.density import mc_max_pct, weight_per_green_bf_lb
from yard.wood.moisture import MC_HIGHEST_PCT
from yard.wood.species import species

HEAVIER_THAN_EVER = 1.02  # rain re-wets wood; beyond this over the heaviest weighing a person confirms it
LIGHTER_THAN_DRY = 0.98


class ImplausibleWeightError(ValueError):
    """A weight that the wood cannot have, or hardly; `may_confirm` when a person may insist on it."""

    def __init__(self, message: str, may_confirm: bool):
        super().__init__(message)
        self.may_confirm = may_confirm


class NotStackedError(ValueError):
    """Wood that was never in a stack has no estimate to weigh for."""


@dataclass(frozen=True)
class WeighingOutlook:
    """What a sample may weigh today: the last weight, what the estimate expects, and the range to trust."""

    last_lb: float | None
    last_at: datetime | None
    expected_lb: float | None
    low_lb: float | None
    high_lb: float | None
    ceiling_lb: float | None


@transaction.atomic
def sample_add(
    *, cohort, name: str, slab: Slab | None = None, place_note: str = "", by: Person | None = None
) -> Sample:
    """Name a slab or a cut board as one that is weighed again and again."""
    sample = Sample.objects.create(cohort=cohort, name=name, slab=slab, place_note=place_note)
    history_add(sample, by=by, action="added")
    return sample


@transaction.atomic
def sample_of_slab(*, slab: Slab, by: Person | None = None) -> Sample:
    """The standing sample of a slab that is or was in a stack; made when it is weighed for the first time."""
    if slab.cohort_id is None:
        raise NotStackedError(f"{slab.tag} is in no stack yet: put it into one, then weigh it.")
    sample = slab.samples.filter(retired_at__isnull=True).order_by("-id").first()
    if sample is None:
        return sample_add(cohort=slab.cohort, name=slab.tag, slab=slab, by=by)
    return sample_follow(sample=sample)


@transaction.atomic
def sample_follow(*, sample: Sample) -> Sample:
    """Let a sample follow its wood after a restack: with its slab, or to the one cohort that came of its own."""
    cohort = sample.cohort
    if sample.slab is not None and sample.slab.cohort_id is not None:
        cohort = sample.slab.cohort
    while cohort.left_at is not None and cohort.went_to.count() == 1 and sample.slab is None:
        cohort = cohort.went_to.get()
    if cohort.pk != sample.cohort_id:
        sample.cohort = cohort
        sample.save(update_fields=["cohort", "updated_at"])
    return sample


@transaction.atomic
def sample_retire(*, sample: Sample, by: Person | None) -> None:
    """Weigh this sample no more; what it said stays."""
    sample.retired_at = timezone.now()
    sample.save(update_fields=["retired_at", "updated_at"])
    history_add(sample, by=by, action="retired")


def weighing_outlook(*, sample: Sample) -> WeighingOutlook:
    """What this sample should weigh, from its own weighings and the stored estimate."""
    weighings = list(sample.weighings.standing())
    ceiling = _ceiling_lb(sample)
    if not weighings:
        return WeighingOutlook(None, None, _expected_first_lb(sample), None, ceiling, ceiling)
    last = weighings[-1]
    heaviest = max(weighing.weight_lb for weighing in weighings)
    estimate = sample.cohort.estimate
    expected = low = None
    if estimate is not None:
        then = estimate.mean_on(timezone.localdate(last.made_at))
        if then is not None:
            expected = last.weight_lb * (100 + estimate.mean_pct) / (100 + then)
            low = last.weight_lb * (100 + max(0.0, estimate.mean_low_pct - 5)) / (100 + then)
    floor = heaviest / (1 + MC_HIGHEST_PCT / 100) if low is None else low * LIGHTER_THAN_DRY
    return WeighingOutlook(last.weight_lb, last.made_at, expected, floor, heaviest * HEAVIER_THAN_EVER, ceiling)


def weighing_check(*, sample: Sample, weight_lb: float, confirmed: bool = False) -> None:
    """Refuse a weight that the wood cannot have; ask again about one that it hardly has."""
    outlook = weighing_outlook(sample=sample)
    if weight_lb <= 0:
        raise ImplausibleWeightError("A weight is more than nothing: type what the scale shows.", False)
    if outlook.ceiling_lb is not None and weight_lb > outlook.ceiling_lb:
        raise ImplausibleWeightError(
            f"{sample.name} can weigh at most {outlook.ceiling_lb:,.0f} lb, soaked through. "
            "Check the decimal point, the unit, and that it is this piece.",
            False,
        )
    if confirmed or outlook.last_lb is None:
        return
    if outlook.high_lb is not None and weight_lb > outlook.high_lb:
        raise ImplausibleWeightError(
            f"That is heavier than {sample.name} ever was ({outlook.high_lb / HEAVIER_THAN_EVER:,.2f} lb). "
            "Right all the same, after rain say? Confirm it.",
            True,
        )
    if outlook.low_lb is not None and weight_lb < outlook.low_lb:
        raise ImplausibleWeightError(
            f"That is lighter than the estimate allows (about {outlook.low_lb:,.2f} lb at the least). "
            "Right all the same? Confirm it.",
            True,
        )


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
    record_void(record=weighing, reason=reason, by=by)
    cohort_mark_stale(cohort_ids=_cohort_ids_of(weighing.stack))


def _cohort_ids_of(stack: Stack) -> list[int]:
    return list(stack.cohorts.values_list("pk", flat=True))


def _ceiling_lb(sample: Sample) -> float | None:
    """The weight of the sample's slab with every hollow full of water."""
    slab = sample.slab
    if slab is None or slab.area_in2 <= 0:
        return None
    fullest_pct = mc_max_pct(species(slab.species_key).basic_specific_gravity)
    return _slab_weight_lb(slab, fullest_pct)


def _expected_first_lb(sample: Sample) -> float | None:
    slab, estimate = sample.slab, sample.cohort.estimate
    if slab is None or estimate is None or slab.area_in2 <= 0:
        return None
    return _slab_weight_lb(slab, estimate.mean_pct)


def _slab_weight_lb(slab: Slab, mc_pct: float) -> float:
    volume_bf = slab.area_in2 * slab.thickness_in / IN3_PER_BF
    return volume_bf * weight_per_green_bf_lb(slab.species_key, mc_pct)

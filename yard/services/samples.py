"""Samples: slabs or cut boards that are weighed again and again. Only this module writes their table."""

from django.db import transaction
from django.utils import timezone

from yard.models import Cohort, Person, Sample, Slab
from yard.models.base import new_code
from yard.services.history import history_add
from yard.services.refused import Refused


class NotStackedError(Refused):
    """Wood that was never in a stack has no estimate to weigh for."""


@transaction.atomic
def sample_add(
    *, cohort: Cohort, name: str, slab: Slab | None = None, place_note: str = "", by: Person | None = None
) -> Sample:
    """Name a slab or a cut board as one that is weighed again and again.

    Errors: Refused for a name that another sample of the stack has, or without a name.
    """
    name = " ".join(name.split())[:60]
    if not name:
        raise Refused("Give the sample a name that stands on it, such as its slab's tag.", "name")
    alike = Sample.objects.filter(cohort__stack_id=cohort.stack_id, retired_at__isnull=True)
    if alike.filter(name__iexact=name).exists():
        raise Refused(f"This stack has a sample {name} already: weigh that one, or choose another name.", "name")
    sample = Sample.objects.create(cohort=cohort, name=name, slab=slab, place_note=place_note.strip())
    history_add(sample, by=by, action="added")
    return sample


@transaction.atomic
def sample_of_slab(*, slab: Slab, by: Person | None = None) -> Sample:
    """The standing sample of a slab that is or was in a stack; made when it is weighed for the first time."""
    slab = Slab.objects.select_for_update().get(pk=slab.pk)  # two first weighings at once make one sample
    if slab.cohort_id is None:
        raise NotStackedError(f"{slab.tag} is in no stack yet: put it into one, then weigh it.")
    sample = slab.samples.filter(retired_at__isnull=True).order_by("-id").first()
    if sample is not None:
        return sample_follow(sample=sample)
    sample = Sample.objects.create(cohort=slab.cohort, name=slab.tag, slab=slab)
    history_add(sample, by=by, action="added")
    return sample


@transaction.atomic
def sample_follow(*, sample: Sample) -> Sample:
    """Let a sample follow its wood after a restack: with its slab, or to the one cohort that came of its own."""
    cohort = sample_cohort_now(sample)
    if cohort.pk != sample.cohort_id:
        sample.cohort = cohort
        sample.save(update_fields=["cohort", "updated_at"])
    return sample


def sample_cohort_now(sample: Sample) -> Cohort:
    """The cohort that a sample's wood is in today, written down or not."""
    if sample.slab is not None:
        same = sample.slab.cohort_id in (None, sample.cohort_id)
        return sample.cohort if same else sample.slab.cohort
    cohort = sample.cohort
    while cohort.left_at is not None:
        after = list(cohort.went_to.select_related("estimate", "stack__bay")[:2])
        if len(after) != 1:
            break
        cohort = after[0]
    return cohort


@transaction.atomic
def sample_retire(*, sample: Sample, by: Person | None) -> None:
    """Weigh this sample no more; what it said stays."""
    if sample.retired_at is not None:
        return
    sample.retired_at = timezone.now()
    sample.version += 1
    sample.save(update_fields=["retired_at", "version", "updated_at"])
    history_add(sample, by=by, action="retired")


@transaction.atomic
def sample_recut(*, sample: Sample, by: Person | None) -> Sample:
    """A piece was cut off a sample: its weights before and after cannot be compared, so it begins anew.

    The new sample takes over name, place and the code on the label; the old one keeps what it said.
    """
    code = sample.code
    sample.code = new_code()
    sample.save(update_fields=["code", "updated_at"])
    sample_retire(sample=sample, by=by)
    fresh = Sample.objects.create(
        cohort=sample.cohort, name=sample.name, slab=sample.slab, place_note=sample.place_note, code=code
    )
    history_add(fresh, by=by, action="added", note="a section was cut off: it is weighed anew from here")
    return fresh

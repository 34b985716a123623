"""What a label on the weigh pages stands for: a sample, a slab that is or becomes one, or a whole stack."""

from dataclasses import dataclass, field

from django.db import connection
from django.db.models import QuerySet
from django.db.models.functions import Lower

from yard.models import Cohort, Sample, Slab, Stack
from yard.services.labels import code_clean
from yard.services.samples import sample_cohort_now

MOST_FOUND = 20
LAST_SIGN = "\U0010ffff"


class NoSuchThing(LookupError):  # noqa: N818 - reads as the sentence it is
    """No sample, slab or stack carries this code."""


@dataclass
class WeighSubject:
    """A thing to weigh: its label's code, what it is called, the wood it is of, and the samples of that wood.

    `sample` is None for a slab that was never weighed; `cohorts` holds several only for a stack.
    """

    code: str
    tag: str
    kind: str
    stack: Stack | None
    cohorts: list[Cohort]
    sample: Sample | None = None
    slab: Slab | None = None
    samples: list[Sample] = field(default_factory=list)

    @property
    def cohort(self) -> Cohort | None:
        return self.cohorts[0] if len(self.cohorts) == 1 else None

    @property
    def in_words(self) -> str:
        return {"sample": "Sample", "slab": "Slab", "stack": "Stack"}[self.kind]

    @property
    def why_not(self) -> str:
        """Why nothing can be written down for it; empty when it can."""
        if self.kind == "slab" and not self.cohorts:
            return f"{self.tag} is in no stack yet: put it into one, then weigh it."
        if not self.cohorts:
            return f"{self.tag} holds no wood any more."
        return ""

    def sample_or_new(self) -> Sample:
        """The sample, or one that is not saved yet, to look ahead with."""
        return self.sample or Sample(cohort=self.cohorts[0], name=self.tag, slab=self.slab)


def weigh_subject(code: str) -> WeighSubject:
    """What carries this code. Errors: NoSuchThing."""
    code = code_clean(code)
    sample = _samples().filter(code=code).first()
    if sample is not None:
        return _of_sample(sample)
    slab = Slab.objects.select_related("stack__bay", "cohort__estimate", "cohort__stack__bay").filter(code=code).first()
    if slab is not None:
        return _of_slab(slab)
    stack = Stack.objects.select_related("bay").filter(code=code).first()
    if stack is not None:
        return _of_stack(stack)
    raise NoSuchThing(code)


def weigh_find(text: str) -> list[WeighSubject]:
    """What somebody means who scans or types a code, a tag or the beginning of a tag; exact ones come alone."""
    text = text.strip()
    if not text:
        return []
    try:
        return [weigh_subject(text)]
    except NoSuchThing:
        pass
    return _found(text.lower(), exact=True) or _found(text.lower(), exact=False)


def _found(lowered: str, *, exact: bool) -> list[WeighSubject]:
    """Samples, slabs and stacks by name, as a list to choose from: three queries."""
    samples = _named(Sample.objects.filter(retired_at__isnull=True), "name", lowered, exact)
    samples = list(samples.select_related("cohort__stack__bay")[:MOST_FOUND])
    slabs = _named(Slab.objects.standing(), "tag", lowered, exact).select_related("stack__bay")
    slabs = slabs.exclude(pk__in=[one.slab_id for one in samples if one.slab_id])
    stacks = _named(Stack.objects.standing(), "tag", lowered, exact).select_related("bay")
    return [
        *(WeighSubject(one.code, one.name, "sample", one.cohort.stack, [], sample=one) for one in samples),
        *(WeighSubject(one.code, one.tag, "slab", one.stack, [], slab=one) for one in slabs[:MOST_FOUND]),
        *(WeighSubject(one.code, one.tag, "stack", one, []) for one in stacks[:MOST_FOUND]),
    ][:MOST_FOUND]


def _named(rows: QuerySet, name_field: str, lowered: str, exact: bool) -> QuerySet:
    """Rows whose name is that, or begins so, in the order of their names; by the index on the lowered name."""
    rows = rows.alias(lowered_name=Lower(name_field)).order_by("lowered_name", "id")
    if exact:
        return rows.filter(lowered_name=lowered)
    if connection.vendor == "sqlite":  # whose LIKE goes by no index on an expression
        rows = rows.filter(lowered_name__gte=lowered, lowered_name__lt=lowered + LAST_SIGN)
    return rows.filter(lowered_name__startswith=lowered)


def _samples() -> QuerySet[Sample]:
    return Sample.objects.select_related("slab__cohort__stack__bay", "cohort__estimate", "cohort__stack__bay")


def _of_sample(sample: Sample) -> WeighSubject:
    sample.cohort = cohort = sample_cohort_now(sample)  # saved when it is weighed
    return WeighSubject(
        sample.code, sample.name, "sample", cohort.stack, [cohort], sample=sample, slab=sample.slab, samples=[sample]
    )  # fmt: skip


def _of_slab(slab: Slab) -> WeighSubject:
    sample = _samples().filter(slab=slab, retired_at__isnull=True).order_by("-id").first()
    cohorts = [slab.cohort] if slab.cohort else []
    stack = slab.cohort.stack if slab.cohort else None
    return WeighSubject(
        slab.code, slab.tag, "slab", stack, cohorts, sample=sample, slab=slab, samples=[sample] if sample else []
    )  # fmt: skip


def _of_stack(stack: Stack) -> WeighSubject:
    cohorts = list(stack.cohorts.filter(left_at__isnull=True).order_by("pk"))
    samples = list(
        Sample.objects.filter(cohort__in=cohorts, retired_at__isnull=True).select_related("cohort").order_by("name")
    )
    return WeighSubject(stack.code, stack.tag, "stack", stack, cohorts, samples=samples)

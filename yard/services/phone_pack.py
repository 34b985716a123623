"""What a phone takes along into the yard: the round, what may be weighed there and what to expect of it, the logs.

Weights are in pounds and written on the phone in the unit of the scale; other sizes are text in the person's units.
"""

from collections.abc import Iterable
from typing import Any

from django.db.models import Case, Exists, OuterRef, Prefetch, QuerySet, When
from django.utils import timezone

from yard import quantities as shown
from yard.models import (
    Cohort,
    Log,
    LogState,
    OvenSection,
    Person,
    Sample,
    Slab,
    SlabKind,
    SlabState,
    Stack,
    StackWeighing,
    Weighing,
    Yard,
)
from yard.services.label_words import species_words
from yard.services.round import round_today
from yard.services.weighing_outlook import WeighingOutlook, stack_weighing_outlook, weighing_outlook
from yard.services.weighing_round import WorthIt
from yard.shown_units import shown as units_now
from yard.wood.meters import PIN_MEAN_SHARE

SCHEMA = 1
# The program's own limits: what a phone takes along is read through in a second over a slow line.
MOST_SAMPLES, MOST_SLABS, MOST_STACKS, MOST_LOGS = 150, 1500, 200, 60
SIXTEENTHS = 16


def phone_pack(*, person: Person, yard: Yard) -> dict[str, Any]:
    """All of it, as plain values."""
    round_ = round_today()
    in_round = [stop.sample.pk for stop in round_.stops if stop.sample]
    return {
        "schema": SCHEMA,
        "made_at": timezone.now().isoformat(),
        "yard": yard.name,
        "person": {"id": person.pk, "name": str(person), "units": units_now().units},
        "done_today": round_.done_today,
        "round": [_stop(stop) for stop in round_.stops],
        "things": [*_samples(in_round), *_slabs(), *_stacks()],
        "logs": _logs(),
    }


def _stop(stop: WorthIt) -> dict[str, Any]:
    stack = stop.cohort.stack
    return {
        "code": stop.code, "tag": stop.sample.name if stop.sample else stack.tag, "stack": stack.tag,
        "bay": stack.bay.name if stack.bay else "", "what": stop.what, "how": stop.how, "why": stop.why,
        "wood": _wood(stop.cohort), "cohort": stop.cohort.pk,
    }  # fmt: skip


def _samples(first: Iterable[int]) -> list[dict[str, Any]]:
    wanted = set(first)
    rows = (
        Sample.objects.filter(retired_at__isnull=True, cohort__left_at__isnull=True)
        .select_related("cohort__estimate", "cohort__stack__bay", "slab")
        .prefetch_related(
            Prefetch("weighings", Weighing.objects.standing().order_by("made_at", "id"), to_attr="weighed"),
            Prefetch("oven_sections", OvenSection.objects.standing().order_by("cut_at", "id"), to_attr="cut"),
        )
        .order_by(Case(When(pk__in=wanted, then=0), default=1), "-id")
    )
    found = []
    for sample in rows[:MOST_SAMPLES]:
        outlook = weighing_outlook(sample=sample, weighings=sample.weighed, sections=sample.cut)
        thing = _thing(sample.code, sample.name, "sample", sample.cohort.stack, [sample.cohort], outlook)
        thing |= {"sample": sample.pk, "place": sample.place_note}
        if sample.slab:  # its slab's own label leads to the same place
            thing["slab"] = sample.slab.code
        found.append(thing)
    return found


def _slabs() -> list[dict[str, Any]]:
    """Slabs that dry and were never weighed: their labels are scanned too."""
    sampled = Sample.objects.filter(slab=OuterRef("pk"), retired_at__isnull=True)
    slabs = (
        _with_estimates(Slab.objects.filter(state__in=[SlabState.STACKED, SlabState.KILN], cohort__isnull=False))
        .filter(~Exists(sampled))
        .select_related("cohort__stack__bay")
        .order_by("-id")[:MOST_SLABS]
    )
    found = []
    for slab in slabs:
        outlook = weighing_outlook(sample=Sample(cohort=slab.cohort, name=slab.tag, slab=slab))
        found.append(_thing(slab.code, slab.tag, "slab", slab.cohort.stack, [slab.cohort], outlook))
    return found


def _stacks() -> list[dict[str, Any]]:
    stacks = (
        Stack.objects.standing()
        .select_related("bay")
        .prefetch_related(
            Prefetch("cohorts", Cohort.objects.filter(left_at__isnull=True).order_by("id"), to_attr="woods_now"),
            Prefetch("slabs_now", _with_estimates(Slab.objects.all()), to_attr="pieces"),
            Prefetch("weighings", StackWeighing.objects.standing().order_by("made_at", "id"), to_attr="weighed"),
        )
        .order_by("-id")[:MOST_STACKS]
    )
    found = []
    for stack in stacks:
        if stack.woods_now:
            outlook = stack_weighing_outlook(stack=stack, slabs=stack.pieces, weighings=stack.weighed)
            found.append(_thing(stack.code, stack.tag, "stack", stack, stack.woods_now, outlook))
    return found


def _with_estimates(slabs: QuerySet[Slab]) -> QuerySet[Slab]:
    """With what the outlook of a piece needs: not the daily path, which is long."""
    heavy = ("path", "posterior", "inputs", "reasons", "narrow", "conflicts")
    return slabs.select_related("cohort__estimate").defer(*(f"cohort__estimate__{name}" for name in heavy))


def _thing(
    code: str, tag: str, kind: str, stack: Stack, cohorts: list[Cohort], outlook: WeighingOutlook
) -> dict[str, Any]:  # fmt: skip
    last_on = timezone.localdate(outlook.last_at).isoformat() if outlook.last_at else None
    depth_in = max(1, round(cohorts[0].thickness_in * PIN_MEAN_SHARE * SIXTEENTHS)) / SIXTEENTHS
    return {
        "code": code, "tag": tag, "kind": kind, "stack": stack.tag, "bay": stack.bay.name if stack.bay else "",
        "woods": [[cohort.pk, _wood(cohort)] for cohort in cohorts], "depth": shown.thickness(depth_in),
        "last": outlook.last_lb, "last_on": last_on,
        "expected": _rounded(outlook.expected_lb), "low": _rounded(outlook.low_lb), "high": _rounded(outlook.high_lb),
        "floor": _rounded(outlook.floor_lb), "ceiling": _rounded(outlook.ceiling_lb), "basis": outlook.basis,
    }  # fmt: skip


def _logs() -> list[dict[str, Any]]:
    """The logs that wait to be sawn, those on the mill first, each with what its last slab was like."""
    rows = list(
        Log.objects.waiting()
        .order_by(Case(When(state=LogState.ON_MILL, then=0), default=1), "arrived_on", "id")[:MOST_LOGS]
        .prefetch_related(
            Prefetch("slabs", Slab.objects.exclude(state=SlabState.VOID).order_by("position", "id"), to_attr="sawn")
        )
    )
    return [_log(log, log.sawn) for log in rows]


def _log(log: Log, slabs: list[Slab]) -> dict[str, Any]:
    last = slabs[-1] if slabs else None
    return {
        "code": log.code, "id": log.pk, "tag": log.tag, "wood": species_words(log.species_key),
        "on_mill": log.state == LogState.ON_MILL, "slabs": len(slabs),
        "size": f"{shown.width(log.small_end_in)} × {shown.length_ft(log.length_ft)}",
        "kind": last.kind if last else SlabKind.LIVE_EDGE.value,
        "thickness": shown.thickness(last.thickness_in) if last else "",
        "length": shown.length_in(last.length_in if last else log.length_ft * 12),
    }  # fmt: skip


def _wood(cohort: Cohort) -> str:
    return f"{species_words(cohort.species_key)}, {shown.thickness(cohort.thickness_in)}"


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)

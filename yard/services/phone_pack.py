"""What a phone takes along into the yard: the round, what may be weighed there and what to expect of it, the logs.

Weights are in pounds and written on the phone in the unit of the scale; other sizes are text in the person's units.
"""

from collections.abc import Iterable
from typing import Any

from django.utils import timezone

from yard import quantities as shown
from yard.models import Cohort, Log, Person, Sample, Slab, SlabState, Stack, Yard
from yard.services.label_words import species_words
from yard.services.round import round_today
from yard.services.saw_yield import slabs_of_log
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
    rows = list(
        Sample.objects.filter(retired_at__isnull=True, cohort__left_at__isnull=True)
        .select_related("cohort__estimate", "cohort__stack__bay", "slab")
        .order_by("-id")
    )
    wanted = set(first)
    rows.sort(key=lambda sample: sample.pk not in wanted)
    found = []
    for sample in rows[:MOST_SAMPLES]:
        outlook = weighing_outlook(sample=sample)
        thing = _thing(sample.code, sample.name, "sample", sample.cohort.stack, [sample.cohort], outlook)
        thing |= {"sample": sample.pk, "place": sample.place_note}
        if sample.slab:  # its slab's own label leads to the same place
            thing["slab"] = sample.slab.code
        found.append(thing)
    return found


def _slabs() -> list[dict[str, Any]]:
    """Slabs that dry and were never weighed: their labels are scanned too."""
    slabs = (
        Slab.objects.filter(state__in=[SlabState.STACKED, SlabState.KILN], cohort__isnull=False)
        .exclude(samples__retired_at__isnull=True, samples__isnull=False)
        .select_related("cohort__estimate", "cohort__stack__bay")
        .defer("cohort__estimate__path", "cohort__estimate__posterior", "cohort__estimate__inputs")
        .order_by("-id")[:MOST_SLABS]
    )
    found = []
    for slab in slabs:
        outlook = weighing_outlook(sample=Sample(cohort=slab.cohort, name=slab.tag, slab=slab))
        found.append(_thing(slab.code, slab.tag, "slab", slab.cohort.stack, [slab.cohort], outlook))
    return found


def _stacks() -> list[dict[str, Any]]:
    stacks = Stack.objects.standing().select_related("bay").prefetch_related("cohorts").order_by("-id")[:MOST_STACKS]
    found = []
    for stack in stacks:
        cohorts = [cohort for cohort in stack.cohorts.all() if cohort.left_at is None]
        if cohorts:
            found.append(_thing(stack.code, stack.tag, "stack", stack, cohorts, stack_weighing_outlook(stack=stack)))
    return found


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
    rows = sorted(Log.objects.waiting()[:MOST_LOGS], key=lambda log: log.state != "on_mill")
    found = []
    for log in rows:
        slabs = list(slabs_of_log(log)) if log.state == "on_mill" else []
        last = slabs[-1] if slabs else None
        found.append(
            {
                "code": log.code, "id": log.pk, "tag": log.tag, "wood": species_words(log.species_key),
                "on_mill": log.state == "on_mill", "slabs": len(slabs),
                "size": f"{shown.width(log.small_end_in)} × {shown.length_ft(log.length_ft)}",
                "kind": last.kind if last else "live_edge",
                "thickness": shown.thickness(last.thickness_in) if last else "",
                "length": shown.length_in(last.length_in if last else log.length_ft * 12),
            }
        )  # fmt: skip
    return found


def _wood(cohort: Cohort) -> str:
    return f"{species_words(cohort.species_key)}, {shown.thickness(cohort.thickness_in)}"


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)

"""Closing a run: the wood is called dry, board by board, and what the run gave, cost and taught is written down."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from kilns.models import FinalReading, Phase, Run, RunState
from kilns.physics.equalising import final_evenness
from kilns.services.run_learned import learned_words, speeds_believed
from kilns.services.run_phases import phase_end
from kilns.services.run_progress import run_progress
from kilns.services.run_samples import run_samples
from kilns.services.run_sensors import run_span
from kilns.services.run_slabs import slabs_of_charge
from kilns.services.runs import run_locked, run_saved
from yard.models import Bay, Cohort, Person, Slab, Stack
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.dry_slabs import slabs_call_dry
from yard.services.estimates import estimates_refresh
from yard.services.stacks import stack_move, stack_take_down
from yard.services.stays import check_not_in_future
from yard.services.weather import NoPlaceError
from yard.wood.ranges import OutsideRange

CENT = Decimal("0.01")


@dataclass(frozen=True)
class Closing:
    """How a run is closed: when, where the wood goes, whether the stacks come down, and the meter at the end."""

    at: datetime
    store: Bay | None
    take_down: bool
    meter_kwh: float | None = None
    other_cost: Decimal | None = None


@transaction.atomic
def run_close(*, run: Run, by: Person | None, version: int, closing: Closing) -> Run:
    """Close a running run: its slabs are dry and for sale, with their net footage, and the yard learns from it.

    A slab without a final MC of its own takes the mean of those measured. Slabs of a stack that was taken down before
    are dry where they lie. Stacks that are left standing are for sale when they stand in a dry store; the yard's belief
    moves when they are taken down.
    Errors: ChangedMeanwhile; ValidationError for a run that is not going on, without any final MC, or a moment
    before its last change.
    """
    check_not_in_future(closing.at)
    row = run_locked(run)
    if row.version != version:
        raise ChangedMeanwhile(row)
    if row.state != RunState.RUNNING:
        raise ValidationError(f"{row.name} is {row.get_state_display().lower()}: only a running run is closed.")
    finals = list(row.final_readings.standing().order_by("made_at", "id"))
    if not finals:
        raise ValidationError("Measure the final MC of at least one board first: page “Final MC”.")
    slabs = list(slabs_of_charge(row).select_related("cohort"))
    standing = Stack.objects.standing().filter(Q(in_runs__run=row) | Q(slabs_now__in=slabs))
    stacks = list(standing.select_related("bay").distinct().order_by("pk"))
    cohorts = list(Cohort.objects.filter(pk__in={slab.cohort_id for slab in slabs if slab.cohort_id}))
    believed = speeds_believed(cohorts)
    phase_end(run=row, at=closing.at)
    _out_of_the_kiln(stacks, closing, by, row)
    _call_dry(slabs, finals, closing, by, row)
    row.state, row.closed_at = RunState.CLOSED, closing.at
    _cost(row, closing)
    row.final_mc_pct = round(sum(one.mc_pct for one in finals) / len(finals), 2)
    row.closing = closing_summary(row, finals, slabs)
    run_saved(row, by, "closed", {})
    row.closing |= {"learned": _learned(cohorts, believed, closing)}
    row.save(update_fields=["closing"])
    return row


def _out_of_the_kiln(stacks: Sequence[Stack], closing: Closing, by: Person | None, run: Run) -> None:
    for stack in stacks:
        if closing.store is not None and stack.bay_id != closing.store.pk:
            stack_move(stack=stack, bay=closing.store, at=closing.at, by=by, note=f"out of {run.name}")
        if closing.take_down:
            stack_take_down(stack=Stack.objects.get(pk=stack.pk), at=closing.at, by=by, note=f"out of {run.name}")


def _call_dry(
    slabs: Sequence[Slab], finals: Sequence[FinalReading], closing: Closing, by: Person | None, run: Run
) -> None:
    """Each slab at its own final MC, the mean of its readings; one without at the mean of all."""
    own: dict[int, list[float]] = {}
    for one in finals:
        if one.slab_id is not None:
            own.setdefault(one.slab_id, []).append(one.mc_pct)
    mean = sum(one.mc_pct for one in finals) / len(finals)
    by_content: dict[float, list[Slab]] = {}
    for slab in slabs:
        values = own.get(slab.pk, [mean])
        by_content.setdefault(round(sum(values) / len(values), 1), []).append(slab)
    for content, some in by_content.items():
        slabs_call_dry(slabs=some, mc_pct=content, on=timezone.localdate(closing.at), by=by, note=f"out of {run.name}")


def _cost(run: Run, closing: Closing) -> None:
    if closing.meter_kwh is not None:
        run.energy_end_kwh = closing.meter_kwh
    shown = [one.meter_kwh for one in run.energy_readings.standing()]
    shown += [one for one in (run.energy_start_kwh, run.energy_end_kwh) if one is not None]
    if run.energy_end_kwh is not None and run.energy_end_kwh < max(shown):
        raise ValidationError({"meter_kwh": f"It showed {max(shown):g} kWh before: a meter does not run backwards."})
    used = max(shown) - min(shown) if len(shown) > 1 else None
    cost = closing.other_cost or Decimal(0)
    if used is not None and run.kiln.energy_price:
        cost += Decimal(str(used)) * run.kiln.energy_price
    known = closing.other_cost is not None or (used is not None and bool(run.kiln.energy_price))
    run.energy_cost = cost.quantize(CENT) if known else None


def closing_summary(run: Run, finals: Sequence[FinalReading], slabs: Sequence[Slab]) -> dict[str, Any]:
    """What the run gave, as plain JSON: tally, evenness, days, energy, cost, degrade, predicted and measured."""
    dry = list(Slab.objects.filter(pk__in=[slab.pk for slab in slabs]))
    net = sum(slab.net_bf or 0.0 for slab in dry)
    measured = sum(1 for slab in dry if slab.dry_widths_in or slab.dry_length_in)
    shells = [(one.shell_pct, one.core_pct) for one in finals if one.shell_pct is not None and one.core_pct is not None]
    shell, core = (sum(one) / len(shells) for one in zip(*shells, strict=True)) if shells else (None, None)
    even = final_evenness([one.mc_pct for one in finals], shell, core)
    days = (run.closed_at - run.started_at).total_seconds() / 86_400
    notes = list(run.notes.standing())
    shown = [one.meter_kwh for one in run.energy_readings.standing()]
    shown += [one for one in (run.energy_start_kwh, run.energy_end_kwh) if one is not None]
    used = max(shown) - min(shown) if len(shown) > 1 else None
    per_bf = (run.energy_cost / Decimal(str(net))).quantize(CENT) if run.energy_cost is not None and net else None
    return {
        "days": round(days, 1), "drying_days": _drying_days(run), "slabs": len(dry), "measured_slabs": measured,
        "green_bf": round(sum(slab.green_bf for slab in dry), 1), "net_bf": round(net, 1),
        "final_readings": len(finals), "spread_pct": round(even.spread_pct, 1),
        "gradient_pct": None if even.gradient_pct is None else round(even.gradient_pct, 1), "even": even.even,
        "even_notes": list(even.notes), "degrade": [one.note for one in notes if one.kind == "degrade"],
        "prongs_in": [one.value for one in notes if one.kind == "prong"],
        "kwh": None if used is None else round(used, 1), "cost_per_bf": None if per_bf is None else str(per_bf),
        "water_lb": round(sum(one.water_lb for one in run.condensates.standing()), 1), "beside_plan": _beside_plan(run),
    }  # fmt: skip


def _drying_days(run: Run) -> float | None:
    spans = [one for one in run.phases.all() if one.phase in (Phase.DRYING, Phase.EQUALISE)]
    if not spans:
        return None
    return round(sum((one.ended_at - one.began_at).total_seconds() for one in spans if one.ended_at) / 86_400, 1)


def _beside_plan(run: Run) -> dict[str, float] | None:
    """The last day on which samples were weighed, beside what the plan expected then."""
    progress = run_progress(run, run_samples(run), list(run.phases.all()), run_span(run))
    last = progress.last if progress else None
    if last is None or last.planned_pct is None:
        return None
    found = {"day": last.day, "measured_pct": last.measured_pct, "planned_pct": last.planned_pct}
    return {name: round(value, 1) for name, value in found.items()}


def _learned(cohorts: Sequence[Cohort], believed: dict, closing: Closing) -> list[str]:
    """What the yard believes now of the next such wood, after this run's stacks have been estimated to their end."""
    if not closing.take_down:
        return ["The yard's belief in such wood moves when the stacks are taken down."]
    try:
        estimates_refresh(cohort_ids=[one.pk for one in cohorts], because="the run was closed")
    except (NoPlaceError, OutsideRange) as error:
        return [f"No estimate could be made: {error}."]
    return learned_words(believed, speeds_believed(cohorts))

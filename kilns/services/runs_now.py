"""What the runs that go on ask for today: steps that are due, samples to weigh, a start that was planned."""

from dataclasses import dataclass
from datetime import date

from django.db.models import F

from kilns.models import Run, RunState
from kilns.services.run_samples import run_samples
from kilns.services.run_steps import run_steps
from yard.models import Yard

SOON_DAYS, MOST_RUNS = 3, 6
# days ahead that a planned start is told, and runs looked at (our own limits)


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing: what, its number, why, and which run."""

    words: str
    number: str
    why: str
    run_id: int
    late: bool


def runs_asking(*, yard: Yard, today: date) -> list[Ask]:
    """What is asked for; a few queries a run, of which there are no more than kilns."""
    asks: list[Ask] = []
    going_first = ("-state", F("planned_start_on").asc(nulls_last=True), "pk")  # "running" is after "planned"
    rows = Run.objects.queued().select_related("kiln", "schedule").order_by(*going_first)
    for run in rows[:MOST_RUNS]:
        asks += _planned(run, today) if run.state == RunState.PLANNED else _running(run, yard)
    return asks


def _planned(run: Run, today: date) -> list[Ask]:
    if run.planned_start_on is None or (run.planned_start_on - today).days > SOON_DAYS:
        return []
    days = (run.planned_start_on - today).days
    return [Ask(f"Load {run.kiln.name}: {run.name}", _day_words(days), "Planned for then.", run.pk, days < 0)]


def _day_words(days: int) -> str:
    if days < 0:
        return f"{-days} days late"
    return ("today", "tomorrow")[days] if days < 2 else f"in {days} days"


def _running(run: Run, yard: Yard) -> list[Ask]:
    samples = run_samples(run)
    phases = list(run.phases.all())
    steps = run_steps(run, samples, phases, yard.elevation_ft)
    asks = []
    if steps.advice is not None and steps.advice.due:
        content = samples.reading.controlling_mc_pct if samples.reading else None
        number = steps.advice.phase_words if content is None else f"{content:.1f}%"
        asks.append(Ask(f"{run.name}: {steps.advice.words}", number, steps.advice.why, run.pk, True))
    if samples.due:
        names = ", ".join(one.name for one in samples.due[:5])
        count = len(samples.due)
        why = "Every three days while it dries (common practice): their weights decide the step."
        asks.append(Ask(f"{run.name}: weigh {names}", f"{count} sample{'s' if count > 1 else ''}", why, run.pk, False))
    for one in samples.too_fast:
        number = f"{one.rate.pct_per_day:.1f}% a day"
        why = f"Its wood may lose {one.rate.limit.pct_per_day:.1f}% a day: go back a step, moister air."
        asks.append(Ask(f"{run.name}: {one.name} dries too fast", number, why, run.pk, True))
    return asks

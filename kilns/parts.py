"""What the kilns add to the yard's pages: a stack's runs, what the runs ask for today, a run's other samples."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from kilns.models import Run, RunStack
from kilns.services.run_samples import run_samples
from kilns.services.runs_now import runs_asking
from yard import parts
from yard.models import Sample, Stack

MOST_RUNS, MOST_SAMPLES = 4, 12


def stack_runs(request: HttpRequest, stack: Stack) -> dict[str, Any] | None:
    """The runs that a stack is or was in, the newest first."""
    rows = RunStack.objects.filter(stack=stack).select_related("run__kiln").order_by("-run__id")[:MOST_RUNS]
    found = [one.run for one in rows]
    return {"runs": found} if found else None


def today_runs(request: HttpRequest, _: Any) -> dict[str, Any] | None:
    """Steps due, samples to weigh, charges to load."""
    asks = runs_asking(yard=request.yard, today=timezone.localdate())
    return {"asks": asks} if asks else None


def weighed_run(request: HttpRequest, sample: Sample) -> dict[str, Any] | None:
    """The run that a sample just weighed dries in, and the others to weigh on the same way into the kiln."""
    run = Run.objects.running().filter(run_stacks__stack__cohorts=sample.cohort_id).first()
    if run is None:
        return None
    others = sorted((one for one in run_samples(run).samples if one.sample != sample), key=lambda one: one.name)
    return {"run": run, "others": others[:MOST_SAMPLES]}


def join() -> None:
    """Let the yard's pages show these sections."""
    parts.register("stack", "kilns/_stack_runs.html", stack_runs)
    parts.register("today", "kilns/_today_runs.html", today_runs)
    parts.register("weighed", "kilns/_weighed_run.html", weighed_run)

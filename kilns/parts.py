"""What the kilns add to the yard's pages: which run a stack is in, and what the runs ask for today."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from kilns.models import RunStack
from kilns.services.runs_now import runs_asking
from yard import parts
from yard.models import Stack

MOST_RUNS = 4


def stack_runs(request: HttpRequest, stack: Stack) -> dict[str, Any] | None:
    """The runs that a stack is or was in, the newest first."""
    rows = RunStack.objects.filter(stack=stack).select_related("run__kiln").order_by("-run__id")[:MOST_RUNS]
    found = [one.run for one in rows]
    return {"runs": found} if found else None


def today_runs(request: HttpRequest, _: Any) -> dict[str, Any] | None:
    """Steps due, samples to weigh, charges to load."""
    asks = runs_asking(yard=request.yard, today=timezone.localdate())
    return {"asks": asks} if asks else None


def join() -> None:
    """Let the yard's pages show these sections."""
    parts.register("stack", "kilns/_stack_runs.html", stack_runs)
    parts.register("today", "kilns/_today_runs.html", today_runs)

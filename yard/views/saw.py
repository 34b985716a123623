"""Which log to saw: straight to the one on the mill, or a choice."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from yard.models import Log, LogState
from yard.services.log_cautions import log_cautions

MOST_SHOWN = 60


def saw(request: HttpRequest) -> HttpResponse:
    """With one log on the mill its saw page; with none, or on request, the logs that wait, oldest first."""
    on_mill = list(Log.objects.filter(state=LogState.ON_MILL).order_by("-updated_at", "-id")[:MOST_SHOWN])
    if len(on_mill) == 1 and "choose" not in request.GET:
        return redirect("yard:saw-log", pk=on_mill[0].pk)
    waiting = Log.objects.filter(state=LogState.IN_YARD).select_related("owner").order_by("arrived_on", "id")
    rows = list(waiting[:MOST_SHOWN])
    cautions = log_cautions([*on_mill, *rows], yard=request.yard, today=timezone.localdate())
    context = {
        "on_mill": on_mill,
        "rows": [(log, cautions.get(log.pk)) for log in rows],
        "more": max(waiting.count() - len(rows), 0),
    }
    return render(request, "yard/saw.html", context)

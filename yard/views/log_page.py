"""A log: its scale, what was sawn from it, its photos and history, and what to do next."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from yard.models import History, Log, LogState
from yard.services.log_cautions import log_cautions
from yard.services.log_scale import log_scale
from yard.services.saw_yield import saw_yield, slabs_of_log

HISTORY_SHOWN = 30


def log_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything known of one log."""
    log = get_object_or_404(Log.objects.select_related("owner", "supplier"), pk=pk)
    slabs = list(slabs_of_log(log).select_related("stack"))
    scale = log_scale(log.small_end_in, log.large_end_in, log.length_ft, defect_pct=log.defect_pct, rule=log.rule)
    history = History.objects.filter(table="log", row_id=log.pk).select_related("by").order_by("-at", "-id")
    context = {
        "log": log,
        "slabs": slabs,
        "loose": [slab for slab in slabs if slab.state == "sawn"],
        "scale": scale,
        "sawn": saw_yield(log, slabs),
        "photos": list(log.photos.select_related("by")),
        "history": history[:HISTORY_SHOWN],
        "caution": log_cautions([log], yard=request.yard, today=timezone.localdate()).get(log.pk),
        "is_void": log.state == LogState.VOID,
        "is_sawn": log.state == LogState.SAWN,
    }
    return render(request, "yard/log_page.html", context)

"""The list of runs: going on, planned, and those that were."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kilns.models import Kiln, Run, RunState

EACH_PAGE = 40


def runs(request: HttpRequest) -> HttpResponse:
    """Those that go on and are planned first, then the ended ones by page."""
    rows = Run.objects.select_related("kiln").prefetch_related("run_stacks__stack")
    going = list(rows.filter(state=RunState.RUNNING)) + list(
        rows.filter(state=RunState.PLANNED).order_by("planned_start_on", "pk")
    )
    ended = rows.filter(state__in=[RunState.CLOSED, RunState.GIVEN_UP]).order_by("-closed_at", "-pk")
    page = Paginator(ended, EACH_PAGE).get_page(request.GET.get("page"))
    kilns = Kiln.objects.filter(closed_on__isnull=True)
    return render(request, "kilns/runs.html", {"going": going, "page": page, "kilns": kilns})

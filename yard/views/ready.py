"""Ready for the kiln: what is there, what comes soon, and what is at risk."""

from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from yard.forms.ready_form import ReadyForm
from yard.paging import page_of
from yard.services.air_now import air_now
from yard.services.exports import DIALECTS, csv_rows
from yard.services.green_wood import green_wood_risks
from yard.services.ready_export import COLUMNS, ready_export_rows
from yard.services.ready_list import AT_RISK, LATER, READY, SOON, Wanted, ready_found, ready_rows, tab_counts
from yard.services.risks import at_risk, frozen_risks, risks_of, risky_wood
from yard.services.stale_estimates import estimates_refresh_some, stale_count

TABS = [(READY, "Ready"), (SOON, "Soon"), (LATER, "Later"), (AT_RISK, "At risk")]
PAGE_ROWS = 20
GREEN_GROUPS = 8


def ready(request: HttpRequest) -> HttpResponse:
    """One tab of the list; a fixed number of queries."""
    form = ReadyForm(request.GET)
    wanted, today = form.wanted(), timezone.localdate()
    tab = request.GET.get("tab", READY)
    tab = tab if tab in dict(TABS) else READY
    air = air_now(yard=request.yard, today=today)
    counts = tab_counts(wanted, today, at_risk(air))
    asked = request.GET.copy()
    for name in ("tab", "page"):
        asked.pop(name, None)
    context: dict[str, Any] = {
        "form": form, "tab": tab, "tabs": [(name, words, counts[name]) for name, words in TABS],
        "query": asked.urlencode(), "stale": stale_count(), "today": today, "wanted": wanted,
    }  # fmt: skip
    context |= _at_risk(request, wanted, air) if tab == AT_RISK else _woods(request, wanted, tab)
    return render(request, "yard/ready.html", context, status=422 if form.errors else 200)


def ready_export(request: HttpRequest) -> StreamingHttpResponse:
    """The whole list, whatever tab, as a spreadsheet."""
    rows = ready_export_rows(ReadyForm(request.GET).wanted())
    dialect = DIALECTS.get(request.GET.get("dialect", ""), DIALECTS["comma"])
    response = StreamingHttpResponse(csv_rows(rows, COLUMNS, dialect), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="ready-{timezone.localdate()}.csv"'
    return response


def estimates_refresh_now(request: HttpRequest) -> HttpResponse:
    """Make the estimates that have missed something anew, some at a time."""
    words = estimates_refresh_some(because=f"asked for by {request.user}")
    messages.success(request, words or "Every estimate is up to date.")
    return redirect("yard:ready")


def _woods(request: HttpRequest, wanted: Wanted, tab: str) -> dict[str, Any]:
    found = ready_found(wanted, tab, timezone.localdate()).values_list("pk", flat=True)
    page = page_of(found, request, PAGE_ROWS)
    return {"page": page, "rows": ready_rows(page.rows, wanted)}


def _at_risk(request: HttpRequest, wanted: Wanted, air) -> dict[str, Any]:
    own = replace(wanted, target_pct=None)
    page = page_of(risky_wood(air, own).values_list("pk", flat=True), request, PAGE_ROWS)
    first = page.number == 1 and own == Wanted(sort=own.sort)
    green = green_wood_risks(yard=request.yard, today=timezone.localdate(), most=GREEN_GROUPS) if first else []
    frozen = frozen_risks(air) if first else []
    return {"page": page, "woods": risks_of(page.rows, air), "green": green, "frozen": frozen}

"""The list of logs: what waits, what is pressed by its age, what was sawn."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone

from yard.forms.log_filters import LogFiltersForm
from yard.services.exports import DIALECTS, csv_rows
from yard.services.log_cautions import log_cautions
from yard.services.log_list import COLUMNS, logs_found, logs_waiting

ROWS = 50


def logs(request: HttpRequest) -> HttpResponse:
    """One page of the logs asked for, each with its age caution."""
    form = LogFiltersForm(request.GET or {"state": "waiting"})
    asked = form.asked()
    page = Paginator(logs_found(**asked), ROWS).get_page(request.GET.get("page"))
    today = timezone.localdate()
    cautions = log_cautions(page.object_list, yard=request.yard, today=today)
    rows = [(log, cautions.get(log.pk), (today - log.arrived_on).days) for log in page.object_list]
    filtered = any(asked[name] for name in ("words", "species_key", "whose"))
    context = {
        "form": form, "page": page, "rows": rows, "waiting": logs_waiting(), "state": asked["state"],
        "filtered": filtered, "pressed": len(cautions), "query": request.GET.urlencode(),
    }  # fmt: skip
    template = "yard/logs.html#found" if request.htmx and not request.htmx.boosted else "yard/logs.html"
    return render(request, template, context)


def logs_export(request: HttpRequest) -> StreamingHttpResponse:
    """The same logs, all pages, as a spreadsheet."""
    found = logs_found(**LogFiltersForm(request.GET or {"state": "waiting"}).asked())
    dialect = DIALECTS.get(request.GET.get("dialect", ""), DIALECTS["comma"])
    response = StreamingHttpResponse(csv_rows(found, COLUMNS, dialect), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="logs-{timezone.localdate()}.csv"'
    return response

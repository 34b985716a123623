"""Who changed what, newest first; by thing, person or table when asked."""

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard import access
from yard.forms.history_filter import HistoryFilter
from yard.models import History
from yard.paging import page_of
from yard.services.history import TABLE_NEEDS, change_lines

PER_PAGE = 40


def history(request: HttpRequest) -> HttpResponse:
    """The list; what belongs to a page that the person may not open is left out."""
    form = HistoryFilter(request.GET or None)
    rows = History.objects.select_related("by").order_by("-at", "-id")
    rows = rows.exclude(table__in=[table for table, page in TABLE_NEEDS.items() if not access.may(request.user, page)])
    page = page_of(_filtered(rows, form), request, PER_PAGE)
    lines = [(row, change_lines(row)) for row in page]
    return render(request, "yard/history.html", {"form": form, "page": page, "lines": lines})


def _filtered(rows: QuerySet[History], form: HistoryFilter) -> QuerySet[History]:
    if not form.is_bound or not form.is_valid():
        return rows
    asked = form.cleaned_data
    if asked["table"]:
        rows = rows.filter(table=asked["table"])
    if asked["row"] is not None:
        rows = rows.filter(row_id=asked["row"])
    if asked["by"]:
        rows = rows.filter(by=asked["by"])
    return rows

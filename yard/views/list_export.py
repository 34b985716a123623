"""Lists as spreadsheets: how every one is answered, and those without filters of their own."""

from collections.abc import Iterable

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, StreamingHttpResponse
from django.utils import timezone

from yard.services.export_lists import LISTS
from yard.services.exports import DIALECTS, Column, csv_rows


def csv_answer(request: HttpRequest, rows: QuerySet, columns: Iterable[Column], name: str) -> StreamingHttpResponse:
    """The rows as a file, as `?dialect=` wants it: comma (the usual), semicolon with decimal commas, or plain."""
    dialect = DIALECTS.get(request.GET.get("dialect", ""), DIALECTS["comma"])
    answer = StreamingHttpResponse(csv_rows(rows, columns, dialect), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}-{timezone.localdate()}.csv"'
    return answer


def list_export(request: HttpRequest, name: str) -> StreamingHttpResponse:
    """One of the lists of `export_lists`."""
    if name not in LISTS:
        raise Http404
    one = LISTS[name]
    return csv_answer(request, one.rows(request.user.role == "owner"), one.columns, name)

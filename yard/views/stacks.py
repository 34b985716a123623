"""The list of stacks: what stands where, how wet it is, when it is ready."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone

from yard.forms.stack_filters import StackFiltersForm
from yard.services.exports import DIALECTS, csv_rows
from yard.services.stack_list import COLUMNS, for_export, stack_rows, stacks_found

ROWS = 25


def stacks(request: HttpRequest) -> HttpResponse:
    """One page of the stacks asked for."""
    form = StackFiltersForm(request.GET or {"state": "standing"})
    asked = form.asked()
    page = Paginator(stacks_found(**asked), ROWS).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": page,
        "rows": stack_rows(page.object_list),
        "state": asked["state"],
        "filtered": any(asked[name] for name in ("words", "species_key", "bay", "ready")),
        "query": request.GET.urlencode(),
    }
    template = "yard/stacks.html#found" if request.htmx and not request.htmx.boosted else "yard/stacks.html"
    return render(request, template, context)


def stacks_export(request: HttpRequest) -> StreamingHttpResponse:
    """The same stacks, all pages, as a spreadsheet."""
    found = for_export(stacks_found(**StackFiltersForm(request.GET or {"state": "standing"}).asked()))
    dialect = DIALECTS.get(request.GET.get("dialect", ""), DIALECTS["comma"])
    response = StreamingHttpResponse(csv_rows(found, COLUMNS, dialect), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="stacks-{timezone.localdate()}.csv"'
    return response

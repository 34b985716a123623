"""The list of slabs: find any piece by everything that is known of it."""

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render

from yard.forms.slab_filters import SlabFiltersForm
from yard.services.slab_list import COLUMNS, slab_page, slabs_for_export, slabs_found
from yard.services.slab_moisture import moisture_now
from yard.views.list_export import csv_answer

ROWS = 50


def slabs(request: HttpRequest) -> HttpResponse:
    """One page of the slabs asked for; htmx gets the list alone."""
    form = SlabFiltersForm(request.GET)
    typed = request.GET.get("page", "1")
    page = slab_page(slabs_found(form.asked()), int(typed) if typed.isascii() and typed.isdigit() else 1, ROWS)
    asked = request.GET.copy()
    asked.pop("page", None)
    context = {
        "form": form,
        "page": page,
        "rows": [(slab, moisture_now(slab)) for slab in page],
        "query": asked.urlencode(),
    }
    in_place = request.htmx and not request.htmx.boosted and not request.htmx.history_restore_request
    return render(request, "yard/slabs.html#found" if in_place else "yard/slabs.html", context)


def slabs_export(request: HttpRequest) -> StreamingHttpResponse:
    """The same slabs, all pages, as a spreadsheet."""
    found = slabs_for_export(slabs_found(SlabFiltersForm(request.GET).asked()))
    return csv_answer(request, found, COLUMNS, "slabs")

"""The list of contacts: buyers, suppliers, owners of wood dried for a fee."""

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render

from yard.forms.contact_form import ContactFiltersForm
from yard.paging import page_of
from yard.services.contacts import COLUMNS, contacts_found
from yard.views.list_export import csv_answer


def contacts(request: HttpRequest) -> HttpResponse:
    """One page of the contacts asked for."""
    form = ContactFiltersForm(request.GET)
    page = page_of(contacts_found(**form.asked()), request)
    asked = request.GET.copy()
    asked.pop("page", None)
    in_place = request.htmx and not request.htmx.boosted and not request.htmx.history_restore_request
    template = "yard/contacts.html#found" if in_place else "yard/contacts.html"
    return render(request, template, {"form": form, "page": page, "query": asked.urlencode()})


def contacts_export(request: HttpRequest) -> StreamingHttpResponse:
    """The same contacts, all pages, as a spreadsheet."""
    return csv_answer(request, contacts_found(**ContactFiltersForm(request.GET).asked()), COLUMNS, "contacts")

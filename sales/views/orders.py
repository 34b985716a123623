"""The list of orders: what is asked, quoted, promised, gone, and paid."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from sales.forms.order_form import OrderFiltersForm
from sales.services.order_list import orders_found
from yard.paging import page_of


def orders(request: HttpRequest) -> HttpResponse:
    """One page of the orders asked for; htmx gets the list alone."""
    form = OrderFiltersForm(request.GET)
    page = page_of(orders_found(**form.asked()), request)
    in_place = request.htmx and not request.htmx.boosted and not request.htmx.history_restore_request
    template = "sales/orders.html#found" if in_place else "sales/orders.html"
    context = {"form": form, "page": page, "asked": bool(request.GET), "today": timezone.localdate()}
    return render(request, template, context)

"""Dates promised: working one out for an order, and how those that were given have held."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from sales.models import Order
from sales.services import promise_dates
from yard.services.refused import Refused


def order_promise(request: HttpRequest, pk: int) -> HttpResponse:
    """Work out when the wood of an inquiry will be ready, and keep it with the order."""
    order = get_object_or_404(Order, pk=pk)
    try:
        row = promise_dates.order_promise(by=request.user, order=order)
    except Refused as error:
        messages.error(request, str(error))
        return redirect("sales:order-page", pk=pk)
    if row.promise_date is None:
        messages.warning(request, row.promise_because["holds_up"])
    else:
        messages.success(request, "The date is worked out: it goes with the quote.")
    return redirect("sales:order-page", pk=pk)


def promises(request: HttpRequest) -> HttpResponse:
    """How the yard's promises have held."""
    record = promise_dates.promises_record(today=timezone.localdate())
    return render(request, "sales/promises.html", {"record": record})

"""Changing the terms of an order."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from sales.forms.order_form import OrderEditForm, order_values
from sales.forms.refusals import answered
from sales.models import Order
from sales.services.order_terms import order_change


def order_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The terms; two people editing them notice each other."""
    order = get_object_or_404(Order.objects.select_related("buyer"), pk=pk)
    form = OrderEditForm(request.POST or None, initial=order_values(order))

    def save() -> None:
        order_change(by=request.user, order=order, version=form.cleaned_data["version"], **form.values())

    status = answered(request, form, save, order_values)
    if status == 302:
        messages.success(request, "The terms are changed.")
        return redirect("sales:order-page", pk=pk)
    return render(request, "sales/order_edit.html", {"form": form, "order": order}, status=status)

"""Putting an invoice right: a credit note for all of it or for some lines."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from sales.forms.credit_form import CreditForm
from sales.forms.refusals import answered
from sales.models import Order
from sales.services.credit_notes import credit_note_issue, invoice_of, invoiced_lines
from sales.views.own_currency import own_currency


def order_credit(request: HttpRequest, pk: int) -> HttpResponse:
    """The invoice's lines to tick; two people crediting one invoice notice each other."""
    order = get_object_or_404(Order.objects.select_related("buyer"), pk=pk)
    invoice = invoice_of(order)
    lines = invoiced_lines(invoice) if invoice else []
    form = CreditForm(lines, request.POST or None, initial={"version": order.version})
    status = answered(request, form, lambda: credit_note_issue(by=request.user, order=order, **form.values()))
    if status == 302:
        messages.success(request, "The credit note is issued: its figures stay as they are.")
        return redirect("sales:order-page", pk=pk)
    context = {"form": form, "order": order, "invoice": invoice, "lines": lines, "ticked": form.ticked()}
    with own_currency(order):
        return render(request, "sales/order_credit.html", context, status=status)

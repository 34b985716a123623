"""The steps of an order: quote, take back, accept, deliver, invoice, call off."""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from sales.forms.order_form import DeliverForm, QuoteForm, ReasonForm
from sales.forms.refusals import answered
from sales.models import Order
from sales.services.deliveries import delivery_undo, order_deliver
from sales.services.order_sheet import order_sheet
from sales.services.orders import order_cancel
from sales.services.payments import invoice_issue
from sales.services.promise_dates import order_promise_if_due
from sales.services.quotes import order_accept, quote_issue, quote_take_back
from sales.services.sale_settings import the_sale_settings
from sales.views.own_currency import own_currency
from yard.services.refused import Refused


def order_quote(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the buyer a quote that holds until a day."""
    order = _order(pk)
    habits = the_sale_settings()
    until = timezone.localdate() + timedelta(days=habits.quote_days)
    form = QuoteForm(request.POST or None, initial={"valid_until": until, "version": order.version})

    def quote() -> None:
        order_promise_if_due(by=request.user, order=order)
        quote_issue(by=request.user, order=order, **form.cleaned_data)

    status = answered(request, form, quote)
    if status == 302:
        messages.success(request, "The quote is issued: its figures stay as they are.")
        return redirect("sales:order-page", pk=pk)
    with own_currency(order):
        context = {"form": form, "order": order, "sheet": order_sheet(order), "holds": habits.quotes_hold}
        return render(request, "sales/order_quote.html", context, status=status)


def order_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a quote an inquiry again, to change it."""
    done = "It is an inquiry again. What was quoted stays among its documents."
    return _step(request, pk, lambda order: quote_take_back(by=request.user, order=order), done)


def order_yes(request: HttpRequest, pk: int) -> HttpResponse:
    """The buyer says yes."""
    done = "It is an order: its slabs are promised."
    return _step(request, pk, lambda order: order_accept(by=request.user, order=order), done)


def order_invoice(request: HttpRequest, pk: int) -> HttpResponse:
    """Issue the invoice."""
    done = "The invoice is issued: its figures stay as they are."
    return _step(request, pk, lambda order: invoice_issue(by=request.user, order=order), done)


def order_go(request: HttpRequest, pk: int) -> HttpResponse:
    """The wood goes: delivery note, slabs sold or handed back."""
    order = _order(pk)
    form = DeliverForm(request.POST or None, initial={"version": order.version, "on": timezone.localdate()})
    status = answered(request, form, lambda: order_deliver(by=request.user, order=order, **form.cleaned_data))
    if status == 302:
        messages.success(request, "Gone: the delivery note is among the documents.")
        return redirect("sales:order-page", pk=pk)
    context = {"form": form, "order": order, "sheet": order_sheet(order)}
    return render(request, "sales/order_go.html", context, status=status)


def order_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Call an order off, or take a delivery back that was entered by mistake."""
    order = _order(pk)
    gone = order.state == "delivered"
    form = ReasonForm(request.POST or None, initial={"version": order.version})

    def save() -> None:
        data = form.cleaned_data
        if gone:
            delivery_undo(by=request.user, order=order, because=data["reason"])
        else:
            order_cancel(by=request.user, order=order, reason=data["reason"], version=data["version"])

    status = answered(request, form, save)
    if status == 302:
        messages.success(request, "The slabs are in the yard again." if gone else "Called off; its slabs are free.")
        return redirect("sales:order-page", pk=pk)
    return render(request, "sales/order_off.html", {"form": form, "order": order, "gone": gone}, status=status)


def _order(pk: int) -> Order:
    return get_object_or_404(Order.objects.select_related("buyer"), pk=pk)


def _step(request: HttpRequest, pk: int, work, done: str) -> HttpResponse:
    try:
        work(_order(pk))
    except Refused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, done)
    return redirect("sales:order-page", pk=pk)

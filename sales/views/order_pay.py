"""Money for an order: writing a payment down, and voiding one that was wrong."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from sales.forms.payment_form import PaymentForm, PaymentVoidForm
from sales.forms.refusals import answered
from sales.models import Order, OrderState, Payment
from sales.services.payments import paid_for, payment_record, payment_void
from sales.views.own_currency import own_currency


def order_pay(request: HttpRequest, pk: int) -> HttpResponse:
    """The form, with what is still to pay in it."""
    order = get_object_or_404(Order.objects.select_related("buyer"), pk=pk)
    paid = paid_for(order)
    over = order.state == OrderState.CANCELLED
    left = -paid if over else order.total - order.credited - paid
    first = {"amount": abs(left), "back": left < 0}
    form = PaymentForm(request.POST or None, initial=first)
    status = answered(request, form, lambda: payment_record(by=request.user, order=order, **form.values()))
    if status == 302:
        messages.success(request, "The payment is written down.")
        return redirect("sales:order-page", pk=pk)
    context = {"form": form, "order": order, "paid": paid, "to_pay": left, "over": over}
    with own_currency(order):
        return render(request, "sales/order_pay.html", context, status=status)


def order_payment_void(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a payment out of the reckoning; it stays to be seen."""
    payment = get_object_or_404(Payment.objects.select_related("order__buyer"), pk=pk)
    form = PaymentVoidForm(request.POST or None)
    status = answered(request, form, lambda: payment_void(by=request.user, payment=payment, **form.cleaned_data))
    if status == 302:
        messages.success(request, "It counts no more.")
        return redirect("sales:order-page", pk=payment.order_id)
    context = {"form": form, "payment": payment, "order": payment.order}
    with own_currency(payment.order):
        return render(request, "sales/order_payment_void.html", context, status=status)

"""Writing down an inquiry."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from sales.forms.order_form import OrderNewForm
from sales.forms.refusals import answered
from sales.services.orders import order_add
from yard.services.contact_named import contact_named


def order_new(request: HttpRequest) -> HttpResponse:
    """Who asks; `?buyer=7` chooses somebody."""
    form = OrderNewForm(request.POST or None, initial={"buyer": request.GET.get("buyer")})
    made = []

    def save() -> None:
        data = form.cleaned_data
        name = data.pop("new_name")
        buyer = data.pop("buyer") or contact_named(by=request.user, name=name, role="buyer")
        made.append(order_add(by=request.user, buyer=buyer, **data))

    status = answered(request, form, save)
    if status == 302:
        messages.success(request, f"Inquiry {made[0].number} is written down. Now add what is asked for.")
        return redirect("sales:order-page", pk=made[0].pk)
    return render(request, "sales/order_new.html", {"form": form}, status=status)

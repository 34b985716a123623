"""Picking an order at the pile: scan or type, see what is left and where it lies."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme

from sales.forms.order_form import PickForm
from sales.forms.refusals import answered
from sales.models import Order, OrderLine
from sales.services.picking import asked_short, pick_undo, slab_lines, slabs_pick
from yard.services.refused import Refused


def order_pick(request: HttpRequest, pk: int) -> HttpResponse:
    """What is to be picked, by place; each scan comes back here for the next."""
    order = get_object_or_404(Order.objects.select_related("buyer"), pk=pk)
    form, came = PickForm(request.POST or None), []

    def save() -> None:
        came.append(slabs_pick(by=request.user, order=order, text=form.cleaned_data["text"]))

    status = answered(request, form, save)
    if status == 302:
        messages.success(request, _words(came[0]))
        return redirect(_back(request) or "sales:order-pick", **({} if _back(request) else {"pk": pk}))
    lines = slab_lines(order)
    left = [line for line in lines if line.picked_at is None]
    context = {"form": form, "order": order, "lines": lines, "left": len(left), "short": asked_short(order)}
    return render(request, "sales/order_pick.html", context, status=status)


def order_unpick(request: HttpRequest, pk: int) -> HttpResponse:
    """It is not on the pile after all."""
    line = get_object_or_404(OrderLine.objects.select_related("order", "slab"), pk=pk)
    try:
        pick_undo(by=request.user, line=line)
    except Refused as error:
        messages.error(request, str(error))
    return redirect("sales:order-pick", pk=line.order_id)


def _words(picked) -> str:
    tags = ", ".join(line.slab.tag for line in picked.lines)
    if not picked.lines:
        return f"{', '.join(line.slab.tag for line in picked.before)} was picked before."
    return f"{tags} picked. {f'{picked.left} to go.' if picked.left else 'That was the last one.'}"


def _back(request: HttpRequest) -> str:
    """The page that the scan was sent from, such as the slab's own."""
    back = request.POST.get("back", "")
    return back if back and url_has_allowed_host_and_scheme(back, allowed_hosts=None) else ""

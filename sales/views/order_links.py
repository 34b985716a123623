"""The private links to an order's quote: making one, seeing whether it was opened, withdrawing it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from sales.forms.buyer_link_form import BuyerLinkForm
from sales.forms.refusals import answered
from sales.models import BuyerLink, DocumentKind, Order
from sales.services.buyer_links import buyer_link_make, buyer_link_withdraw, usual_last_day
from yard.views.labels import label_base


def order_links(request: HttpRequest, pk: int) -> HttpResponse:
    """The list; posted, a new link, shown on this answer alone since its secret part is kept nowhere."""
    order = get_object_or_404(Order.objects.select_related("buyer"), pk=pk)
    form = BuyerLinkForm(request.POST or None, initial={"expires_on": usual_last_day(order)})
    made: list[str] = []

    def make() -> None:
        made.append(buyer_link_make(by=request.user, order=order, **form.cleaned_data)[1])

    status = answered(request, form, make)
    context = {
        "order": order, "form": form, "link": _address(request, made[0]) if made else "",
        "links": order.buyer_links.select_related("made_by"), "today": timezone.localdate(),
        "quote": order.documents.filter(kind=DocumentKind.QUOTE).first(),
    }  # fmt: skip
    answer = render(request, "sales/order_links.html", context, status=200 if status == 302 else status)
    if made:
        answer["Cache-Control"] = "no-store"
    return answer


def order_link_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a link useless at once."""
    link = get_object_or_404(BuyerLink.objects.select_related("order"), pk=pk)
    buyer_link_withdraw(by=request.user, link=link)
    messages.success(request, "The link no longer opens.")
    return redirect("sales:order-links", pk=link.order_id)


def _address(request: HttpRequest, secret: str) -> str:
    return f"{label_base(request).rstrip('/')}{reverse('outside:buyer-quote', args=[secret])}"

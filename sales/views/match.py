"""A buyer's request matched against the yard, and an inquiry made of the answer."""

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from sales.forms.match_form import MatchForm, MatchOrderForm, SentenceForm
from sales.forms.refusals import answered
from sales.models import Order
from sales.services.matching import match as match_wood
from sales.services.matching import slabs_chosen
from sales.services.order_lines import line_add_asked, lines_add_slabs
from sales.services.orders import order_add
from sales.services.plain_request import request_read
from yard.models import Person
from yard.services.contact_named import contact_named


def match(request: HttpRequest) -> HttpResponse:
    """The form; a sentence fills it, and what is in it is answered."""
    sentence, data = SentenceForm(request.GET or None), None
    if request.GET:
        words = request.GET.get("words", "").strip()
        data = (
            request_read(words, today=timezone.localdate()) if words and not request.GET.get("fields") else request.GET
        )
    return _page(request, sentence, MatchForm(data), MatchOrderForm())


def match_order(request: HttpRequest) -> HttpResponse:
    """Make an inquiry of the request and the slabs that were ticked."""
    form, who = MatchForm(request.POST), MatchOrderForm(request.POST)
    made: list[Order] = []
    if form.is_valid():
        status = answered(request, who, lambda: made.append(_inquiry(request, form, who)))
        if status == 302:
            messages.success(request, f"Inquiry {made[0].number} is written down, with what was asked for.")
            return redirect("sales:order-page", pk=made[0].pk)
    return _page(request, SentenceForm(), form, who, 422)


@transaction.atomic
def _inquiry(request: HttpRequest, form: MatchForm, who: MatchOrderForm) -> Order:
    by: Person = request.user
    data, asked = who.cleaned_data, form.values()
    buyer = data["buyer"] or contact_named(by=by, name=data["new_name"], role="buyer")
    fields = {"mc_pct": asked["target_mc_pct"]} if asked["target_mc_pct"] else {}
    order = order_add(by=by, buyer=buyer, wanted_by=asked["by_date"], **fields)
    line = line_add_asked(by=by, order=order, **asked)
    if slabs := slabs_chosen(request.POST.getlist("slab")):
        lines_add_slabs(by=by, order=order, slabs=slabs, answers=line)
    return order


def _page(
    request: HttpRequest, sentence: SentenceForm, form: MatchForm, who: MatchOrderForm, status: int = 200
) -> HttpResponse:  # fmt: skip
    answer = match_wood(form.wanted(), today=timezone.localdate()) if form.is_bound and form.is_valid() else None
    context = {"sentence": sentence, "form": form, "who": who, "answer": answer}
    return render(request, "sales/match.html", context, status=status)

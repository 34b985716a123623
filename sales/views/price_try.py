"""Trying a price out: which rule makes it, which others fit, and what it comes to, step by step."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from sales.forms.price_try_form import PriceTryForm
from sales.services.price_book import PriceBook, price_by, rule_words
from sales.services.price_working import tried_working
from sales.services.sale_settings import the_sale_settings


def price_try(request: HttpRequest) -> HttpResponse:
    """The form, and beneath it the answer; nothing is written down."""
    form = PriceTryForm(request.GET or None)
    context = {"form": form, "rules": [], "working": None}
    if form.is_bound and form.is_valid():
        data, wood = form.cleaned_data, form.wood()
        rules = PriceBook(on=data["on"]).fitting(data["what"], wood)
        context["rules"] = [(rule, rule_words(rule)) for rule in rules]
        if rules:
            context["working"] = tried_working(
                wood, price_by(rules[0]), count=data["count"], rounding=the_sale_settings().rounding,
                tax_pct=request.yard.tax_pct,
            )  # fmt: skip
    return render(request, "sales/price_try.html", context)

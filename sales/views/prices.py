"""The price list: every rule, what it asks for and what it says."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from sales.forms.price_rule_form import PriceFiltersForm
from sales.models import PriceOf
from sales.services.price_book import wood_words
from sales.services.price_rules import price_rules


def prices(request: HttpRequest) -> HttpResponse:
    """All rules that count today or later, by what they are for."""
    form, today = PriceFiltersForm(request.GET), timezone.localdate()
    rules = [(rule, wood_words(rule)) for rule in price_rules(on=today, **form.asked())]
    groups = [(what.label, [row for row in rules if row[0].what == what]) for what in PriceOf]
    context = {"form": form, "today": today, "asked": bool(request.GET), "groups": [one for one in groups if one[1]]}
    return render(request, "sales/prices.html", context)

"""One price rule: adding it, changing it, letting another price follow from a day, ending it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from sales.forms.price_rule_form import PriceEndForm, PriceFollowForm, PriceRuleEditForm, PriceRuleForm, rule_values
from sales.forms.refusals import answered
from sales.models import PriceRule
from sales.services.price_book import wood_words
from sales.services.price_rules import price_rule_add, price_rule_change, price_rule_end, price_rule_follow


def price_new(request: HttpRequest) -> HttpResponse:
    """The empty form; `?like=7` fills it from another rule."""
    like = request.GET.get("like", "")
    first = PriceRule.objects.filter(pk=like).first() if like.isascii() and like.isdigit() else None
    initial = rule_values(first) if first else {}
    initial.pop("valid_from", None)
    form = PriceRuleForm(request.POST or None, initial=initial)
    status = answered(request, form, lambda: price_rule_add(by=request.user, **form.values()))
    if status == 302:
        messages.success(request, "The price is in the list.")
        return redirect("sales:prices")
    return render(request, "sales/price_new.html", {"form": form}, status=status)


def price_rule(request: HttpRequest, pk: int) -> HttpResponse:
    """A rule that priced nothing yet is changed; one that did gets a new price from a day on."""
    rule = get_object_or_404(PriceRule, pk=pk)
    used = rule.lines.count()
    form_class = PriceFollowForm if used else PriceRuleEditForm
    form = form_class(request.POST or None, initial=_first(rule, bool(used)))

    def save() -> None:
        data = form.cleaned_data
        if used:
            price_rule_follow(by=request.user, rule=rule, **data)
        else:
            price_rule_change(by=request.user, rule=rule, version=data["version"], **form.values())

    status = answered(request, form, save, rule_values)
    if status == 302:
        messages.success(request, "The new price is in the list." if used else "The price is changed.")
        return redirect("sales:prices")
    context = {"form": form, "rule": rule, "used": used, "words": wood_words(rule), "end_form": _end_form(rule)}
    return render(request, "sales/price_rule.html", context, status=status)


def price_end(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a rule count no more from a day on."""
    rule = get_object_or_404(PriceRule, pk=pk)
    form = PriceEndForm(request.POST, auto_id="end_%s")
    status = answered(request, form, lambda: price_rule_end(by=request.user, rule=rule, **form.cleaned_data))
    if status == 302:
        messages.success(request, "From that day it counts no more; what was priced by it keeps its price.")
        return redirect("sales:prices")
    first = _first(rule, True)
    context = {
        "form": PriceFollowForm(initial=first), "rule": rule, "used": rule.lines.count(), "words": wood_words(rule),
        "end_form": form,
    }  # fmt: skip
    return render(request, "sales/price_rule.html", context, status=status)


def _end_form(rule: PriceRule) -> PriceEndForm:
    return PriceEndForm(initial={"version": rule.version}, auto_id="end_%s")


def _first(rule: PriceRule, used: bool) -> dict:
    values = rule_values(rule)
    if used:
        values.pop("valid_from")
    return values

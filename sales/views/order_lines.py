"""Lines of an order: adding wood as asked for, work and other things; changing, replacing, taking off."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from sales.forms.line_form import AskedForm, LineForm, OtherForm, ReplaceForm, WorkForm, line_values
from sales.forms.refusals import answered
from sales.models import Order, OrderLine
from sales.services import line_measures
from sales.services import order_lines as lines
from sales.views.own_currency import own_currency
from yard.services.refused import Refused


def order_asked(request: HttpRequest, pk: int) -> HttpResponse:
    """Wood as the buyer asks for it."""
    order = get_object_or_404(Order, pk=pk)
    form = AskedForm(request.POST or None, initial={"by_date": order.wanted_by, "target_mc_pct": order.mc_pct})
    status = answered(request, form, lambda: lines.line_add_asked(by=request.user, order=order, **form.values()))
    if status == 302:
        return redirect("sales:order-page", pk=pk)
    return render(request, "sales/order_asked.html", {"form": form, "order": order}, status=status)


def order_other(request: HttpRequest, pk: int) -> HttpResponse:
    """Anything else that is charged."""
    order = get_object_or_404(Order, pk=pk)
    form = OtherForm(request.POST or None)
    status = answered(request, form, lambda: lines.line_add_other(by=request.user, order=order, **form.cleaned_data))
    if status == 302:
        return redirect("sales:order-page", pk=pk)
    return render(request, "sales/order_other.html", {"form": form, "order": order}, status=status)


def order_work(request: HttpRequest, pk: int) -> HttpResponse:
    """Charge drying, planing or sanitising of the slabs in the order."""
    order, form = get_object_or_404(Order, pk=pk), WorkForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose drying, planing or sanitising.")
    else:
        _try(request, lambda: lines.lines_add_work(by=request.user, order=order, **form.cleaned_data))
    return redirect("sales:order-page", pk=pk)


def order_price_anew(request: HttpRequest, pk: int) -> HttpResponse:
    """Price the whole inquiry by today's list."""
    order = get_object_or_404(Order, pk=pk)
    if _try(request, lambda: line_measures.lines_price_anew(by=request.user, order=order)):
        messages.success(request, "Priced by today's list; prices by hand stayed.")
    return redirect("sales:order-page", pk=pk)


def order_measure_anew(request: HttpRequest, pk: int) -> HttpResponse:
    """Charge what the slabs measure now, at the price that was agreed."""
    order = get_object_or_404(Order, pk=pk)
    if _try(request, lambda: line_measures.lines_measure_anew(by=request.user, order=order)):
        messages.success(request, "The footage is as measured now; prices stayed.")
    return redirect("sales:order-page", pk=pk)


def order_line(request: HttpRequest, pk: int) -> HttpResponse:
    """What a line says and costs."""
    line = get_object_or_404(OrderLine.objects.select_related("order__buyer", "slab"), pk=pk)
    form = LineForm(request.POST or None, initial=line_values(line))

    def save() -> None:
        lines.line_change(by=request.user, line=line, **form.cleaned_data)

    status = answered(request, form, save, line_values)
    if status == 302:
        return redirect("sales:order-page", pk=line.order_id)
    context = {"form": form, "line": line, "order": line.order}
    with own_currency(line.order):
        return render(request, "sales/order_line.html", context, status=status)


def order_line_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a line off; its slab is free again."""
    line = get_object_or_404(OrderLine.objects.select_related("order", "answers"), pk=pk)
    if _try(request, lambda: lines.line_take_off(by=request.user, line=line)):
        messages.success(request, f"Taken off: {line.words}.")
    return redirect("sales:order-page", pk=line.order_id)


def order_line_replace(request: HttpRequest, pk: int) -> HttpResponse:
    """Another slab instead of one that was promised."""
    line = get_object_or_404(OrderLine.objects.select_related("order__buyer", "slab"), pk=pk)
    form = ReplaceForm(request.POST or None)
    status = answered(request, form, lambda: lines.line_replace(by=request.user, line=line, **form.cleaned_data))
    if status == 302:
        messages.success(request, f"{form.cleaned_data['slab'].tag} goes instead of {line.slab.tag}.")
        return redirect("sales:order-page", pk=line.order_id)
    context = {"form": form, "line": line, "order": line.order}
    return render(request, "sales/order_line_replace.html", context, status=status)


def _try(request: HttpRequest, work) -> bool:
    try:
        work()
    except Refused as error:
        messages.error(request, str(error))
        return False
    return True

"""An order: what is asked, what it costs, what comes next, what was issued and paid."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from sales.forms.line_form import SlabsAddForm, WorkForm
from sales.forms.refusals import answered
from sales.models import LineKind, Order
from sales.services.order_lines import lines_add_slabs
from sales.services.order_sheet import order_sheet
from sales.views.own_currency import own_currency


def order_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything of one order; what is typed into it comes here again when it is refused."""
    order = get_object_or_404(Order.objects.select_related("buyer"), pk=pk)
    return _page(request, order, SlabsAddForm())


def order_slabs(request: HttpRequest, pk: int) -> HttpResponse:
    """Put slabs into the order by tag, code or scan; `answers` names the line of wood as asked for that they answer."""
    order = get_object_or_404(Order.objects.select_related("buyer"), pk=pk)
    form = SlabsAddForm(request.POST)
    answers = request.POST.get("answers", "")
    asked = order.lines.standing().filter(kind=LineKind.ASKED, pk=answers).first() if answers.isdecimal() else None
    status = answered(
        request, form, lambda: lines_add_slabs(by=request.user, order=order, slabs=form.typed.slabs, answers=asked)
    )
    if status == 302:
        tags = ", ".join(slab.tag for slab in form.typed.slabs[:5])
        messages.success(request, f"{tags} {'are' if len(form.typed.slabs) > 1 else 'is'} in the order.")
        return redirect("sales:order-page", pk=pk)
    return _page(request, order, form, status)


def _page(request: HttpRequest, order: Order, form: SlabsAddForm, status: int = 200) -> HttpResponse:
    with own_currency(order):
        sheet = order_sheet(order)
        context = {
            "order": order, "sheet": sheet, "form": form, "work_form": WorkForm(),
            "asked_lines": [one.line for one in sheet.lines if one.line.kind == LineKind.ASKED],
        }  # fmt: skip
        return render(request, "sales/order_page.html", context, status=status)

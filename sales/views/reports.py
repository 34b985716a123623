"""Looking back: what was sold and what it left, what lies in the yard, who still has to pay; as spreadsheets too."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone

from sales.forms.period_form import PeriodForm
from sales.services.margins import margins, run_margins
from sales.services.sale_exports import EXPORTS
from sales.services.sell_through import sawn_years, stock_paces
from sales.services.sold_wood import charged_for_work, days_from_saw_to_sale, share_within, sold_months
from sales.services.stock_value import is_large_yard, stock_value
from sales.services.unpaid import unpaid_invoices
from yard.views.list_export import csv_answer


def reports(request: HttpRequest) -> HttpResponse:
    """What was sold in a period: by month, wood, log and kiln run, with margins."""
    form, period = _period(request)
    days = days_from_saw_to_sale(period)
    context = _context(form, period) | {
        "margins": margins(period), "months": sold_months(period), "work": charged_for_work(period),
        "runs": run_margins(until=period.end),
        "days_middle": share_within(days, 0.5), "days_quick": share_within(days, 0.1),
        "days_slow": share_within(days, 0.9),
    }  # fmt: skip
    return render(request, "sales/reports.html", context)


def reports_stock(request: HttpRequest) -> HttpResponse:
    """What lay in the yard at the end of a day, and how much of what was sawn is sold.

    Every piece ever sawn is added up: in a large yard when somebody asks for a day, not whenever the page is opened.
    """
    form, period = _period(request)
    if not request.GET and is_large_yard():
        return render(request, "sales/reports_stock.html", _context(form, period) | {"waits": True})
    context = _context(form, period) | {
        "value": stock_value(period.end), "years": sawn_years(), "paces": stock_paces(period)
    }
    return render(request, "sales/reports_stock.html", context)


def reports_unpaid(request: HttpRequest) -> HttpResponse:
    """Invoices with something still to come, the longest overdue first."""
    form, period = _period(request)
    context = _context(form, period) | {"unpaid": unpaid_invoices(timezone.localdate())}
    return render(request, "sales/reports_unpaid.html", context)


def reports_export(request: HttpRequest, name: str) -> StreamingHttpResponse:
    """One of the lists for the accountant, for a period."""
    if name not in EXPORTS:
        raise Http404
    _, period = _period(request)
    one = EXPORTS[name]
    return csv_answer(request, one.rows(period), one.columns, f"{name}-{period.start}-to-{period.end}-made")


def _period(request: HttpRequest) -> tuple[PeriodForm, Any]:
    form = PeriodForm(request.GET)
    period = form.period()
    if form.is_valid():
        shown = PeriodForm({"start": period.start, "end": period.end})
        shown.is_valid()
        return shown, period
    return form, period


def _context(form: PeriodForm, period: Any) -> dict[str, Any]:
    query = f"start={period.start}&end={period.end}"
    return {"form": form, "period": period, "query": query, "exports": EXPORTS.items()}

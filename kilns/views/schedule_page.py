"""A schedule of the yard: its steps, and what a kiln makes of them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from kilns.forms.schedule_form import KilnOfScheduleForm
from kilns.models import Schedule
from kilns.services.schedule_steps import capped_rows, step_rows
from kilns.services.schedules import physics_of, schedule_hide


def schedule_page(request: HttpRequest, pk: int) -> HttpResponse:
    """The steps, and for the kiln that is chosen those that it can hold."""
    schedule = get_object_or_404(Schedule, pk=pk)
    kept, elevation_ft = physics_of(schedule), request.yard.elevation_ft
    form = KilnOfScheduleForm(request.GET or None)
    kiln = form.cleaned_data["kiln"] if form.is_bound and form.is_valid() else None
    rows = capped_rows(kept, kiln.hottest_f, elevation_ft) if kiln else []
    context = {
        "schedule": schedule, "rows": step_rows(kept, elevation_ft), "form": form, "kiln": kiln, "kiln_rows": rows,
        "capped": any(row.capped for row in rows),
    }  # fmt: skip
    return render(request, "kilns/schedule_page.html", context)


def schedule_hide_or_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the schedule off the list, or back on it."""
    row = schedule_hide(schedule=get_object_or_404(Schedule, pk=pk), by=request.user)
    messages.success(request, f"{row.name} is {'off the list' if row.hidden_at else 'on the list again'}.")
    return redirect("kilns:schedule-page", pk=pk)

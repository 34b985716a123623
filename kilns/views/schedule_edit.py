"""Writing a schedule of one's own, and changing one."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from kilns.forms.schedule_form import (
    NewStepFormSet,
    ScheduleEditForm,
    ScheduleNewForm,
    StepFormSet,
    steps_initial,
)
from kilns.models import Schedule
from kilns.services.schedules import physics_of, schedule_add, schedule_change
from yard.forms.service_errors import add_refusal
from yard.services.changed_meanwhile import ChangedMeanwhile


def schedule_new(request: HttpRequest) -> HttpResponse:
    """The form of a new schedule."""
    form = ScheduleNewForm(request.POST or None)
    rows = NewStepFormSet(request.POST or None, prefix="steps")
    if request.method == "POST" and form.is_valid() and rows.is_valid():
        steps = rows.told(request.yard.elevation_ft)
        try:
            if steps is not None:
                kept = schedule_add(by=request.user, steps=steps, **form.schedule_fields())
                messages.success(request, f"{kept.name} is kept.")
                return redirect("kilns:schedule-page", pk=kept.pk)
        except ValidationError as error:
            add_refusal(form, error)
    status = 422 if request.method == "POST" else 200
    return render(request, "kilns/schedule_edit.html", {"form": form, "rows": rows}, status=status)


def schedule_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The form with the schedule's steps; two people editing it notice each other."""
    schedule = get_object_or_404(Schedule, pk=pk)
    form = ScheduleEditForm(request.POST or None, initial=_initial(schedule))
    rows = StepFormSet(request.POST or None, initial=steps_initial(physics_of(schedule).steps), prefix="steps")
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and form.is_valid() and rows.is_valid():
        steps, version = rows.told(request.yard.elevation_ft), form.cleaned_data["version"]
        try:
            if steps is not None:
                told = form.schedule_fields()
                schedule_change(schedule=schedule, by=request.user, version=version, steps=steps, **told)
                messages.success(request, "Kept.")
                return redirect("kilns:schedule-page", pk=pk)
        except ChangedMeanwhile as error:
            form.show_changed_meanwhile(error.current, _initial(error.current), str(error))
            status = 409
        except ValidationError as error:
            add_refusal(form, error)
    context = {"form": form, "rows": rows, "schedule": schedule}
    return render(request, "kilns/schedule_edit.html", context, status=status)


def _initial(schedule: Schedule) -> dict:
    names = ("name", "species_key", "thickness_in", "note", "version")
    return {name: getattr(schedule, name) for name in names}

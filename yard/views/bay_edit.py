"""Adding a bay, and changing one."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.bay_form import BayEditForm, BayNewForm, initial_of
from yard.forms.service_errors import add_refusal
from yard.models import Bay
from yard.services.bays import bay_add, bay_change
from yard.services.changed_meanwhile import ChangedMeanwhile


def bay_new(request: HttpRequest) -> HttpResponse:
    """The form of a new bay."""
    form = BayNewForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            bay = bay_add(by=request.user, **form.bay_fields())
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"{bay.name} is added.")
            return redirect("yard:bay-page", pk=bay.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, "yard/bay_edit.html", {"form": form}, status=status)


def bay_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The form with the bay's values; two people editing it notice each other."""
    bay = get_object_or_404(Bay, pk=pk)
    form = BayEditForm(request.POST or None, initial=initial_of(bay))
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and form.is_valid():
        try:
            bay_change(bay=bay, by=request.user, version=form.cleaned_data["version"], **form.bay_fields())
        except ChangedMeanwhile as error:
            form.show_changed_meanwhile(error.current, initial_of(error.current), str(error))
            status = 409
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, "Kept.")
            return redirect("yard:bay-page", pk=pk)
    return render(request, "yard/bay_edit.html", {"form": form, "bay": bay}, status=status)

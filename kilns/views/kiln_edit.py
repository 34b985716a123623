"""Changing a kiln: its own figures, and closing it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from kilns.forms.kiln_form import KilnEditForm, initial_of
from kilns.models import Kiln
from kilns.services.kiln_build import build_of
from kilns.services.kilns import kiln_change, kiln_close
from yard.forms.service_errors import add_refusal
from yard.services.changed_meanwhile import ChangedMeanwhile


def kiln_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The kiln's figures, with the ways to its surfaces and its equipment."""
    kiln = get_object_or_404(Kiln, pk=pk)
    form = KilnEditForm(request.POST or None, initial=initial_of(kiln))
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and form.is_valid():
        try:
            kiln_change(kiln=kiln, by=request.user, version=form.cleaned_data["version"], **form.kiln_fields())
        except ChangedMeanwhile as error:
            form.show_changed_meanwhile(error.current, initial_of(error.current), str(error))
            status = 409
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, "Kept.")
            return redirect("kilns:kiln-page", pk=pk)
    context = {"form": form, "kiln": kiln, "build": build_of(kiln)}
    return render(request, "kilns/kiln_edit.html", context, status=status)


def kiln_close_or_open(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the kiln out of use, or into use again."""
    kiln = get_object_or_404(Kiln, pk=pk)
    try:
        row = kiln_close(kiln=kiln, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{row.name} is {'closed' if row.closed_on else 'in use again'}.")
    return redirect("kilns:kiln-page", pk=pk)

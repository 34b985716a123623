"""A published schedule by wood and thickness or by its code, brought to a kiln; and keeping it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from kilns.forms.schedule_form import ScheduleFindForm, TakeOverForm
from kilns.services.schedule_find import Found, schedule_found
from kilns.services.schedules import schedule_take_over
from yard.forms.service_errors import add_refusal
from yard.wood.ranges import OutsideRange


def schedule_find(request: HttpRequest) -> HttpResponse:
    """What the tables give for what was asked; nothing is kept by looking."""
    form = ScheduleFindForm(request.GET or None)
    found, refusal = None, ""
    if request.GET and form.is_valid():
        try:
            found = schedule_found(elevation_ft=request.yard.elevation_ft, **form.cleaned_data)
        except OutsideRange as error:
            refusal = str(error)
    context = {"form": form, "found": found, "refusal": refusal[:1].upper() + refusal[1:]}
    if found:
        context["keep"] = TakeOverForm(initial=_keep_initial(found))
    return render(request, "kilns/schedule_find.html", context, status=422 if form.errors else 200)


def schedule_take(request: HttpRequest) -> HttpResponse:
    """Keep a published schedule under a name of one's own."""
    keep = TakeOverForm(request.POST)
    if keep.is_valid():
        data = keep.cleaned_data
        try:
            kept = schedule_take_over(
                by=request.user, code=data["code"], elevation_ft=request.yard.elevation_ft, name=data["name"],
                species_key=data["species_key"], thickness_in=data["thickness_in"],
            )  # fmt: skip
        except ValidationError as error:
            add_refusal(keep, error)
        else:
            messages.success(request, f"{kept.name} is kept. Check it against the publication before the first run.")
            return redirect("kilns:schedule-page", pk=kept.pk)
    return render(request, "kilns/schedule_find.html", {"form": ScheduleFindForm(), "keep": keep}, status=422)


def _keep_initial(found: Found) -> dict:
    return {
        "name": found.name, "code": found.schedule.code, "species_key": found.species_key,
        "thickness_in": found.thickness_in,
    }  # fmt: skip

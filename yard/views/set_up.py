"""Setting up an empty yard: place, units, money, log rule, first bays; all or nothing."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yard.forms.yard_settings import FirstBays, SetUpForm
from yard.services.yard_settings import AlreadySetUp, yard_set_up


def set_up(request: HttpRequest) -> HttpResponse:
    """One page; afterwards the settings page takes over."""
    if request.yard.set_up_at is not None:
        return redirect("yard:yard-settings")
    form = SetUpForm(request.POST or None)
    bays = FirstBays(request.POST or None, prefix="bays")
    if request.method == "POST" and form.is_valid() and bays.is_valid():
        try:
            yard_set_up(by=request.user, bays=bays.named(), **form.cleaned_data)
        except AlreadySetUp:
            return redirect("yard:yard-settings")
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "The yard is set up. Take in your first log, or let somebody in under People.")
            return redirect("yard:today")
    wrong = form.is_bound and (form.errors or not bays.is_valid())
    return render(request, "yard/set_up.html", {"form": form, "bays": bays}, status=422 if wrong else 200)

"""The yard's settings, for owners."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yard.forms.yard_settings import YardSettingsForm, initial_of
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.yard_settings import yard_change


def yard_settings(request: HttpRequest) -> HttpResponse:
    """Show and change them; two owners at once see each other's values."""
    form = YardSettingsForm(request.POST or None, initial=initial_of(request.yard))
    if not form.is_bound:
        return render(request, "yard/yard_settings.html", {"form": form})
    status = 422
    if form.is_valid():
        chosen = dict(form.cleaned_data)
        version = chosen.pop("version")
        try:
            yard_change(by=request.user, version=version, **chosen)
        except ChangedMeanwhile as error:
            form.show_changed_meanwhile(error.current, initial_of(error.current), str(error))
            status = 409
        else:
            messages.success(request, "The settings are kept.")
            return redirect("yard:yard-settings")
    return render(request, "yard/yard_settings.html", {"form": form}, status=status)

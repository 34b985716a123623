"""Changing what is known of a log."""

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.log_form import LogEditForm, initial_of
from yard.models import Log
from yard.services.log_scale import log_scale
from yard.services.logs import ChangedMeanwhile, log_change
from yard.services.refused import LogRefused
from yard.views.log_new import contacts_added
from yard.views.log_scale import scale_typed


def log_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The form with the log's values; two people editing it notice each other."""
    log = get_object_or_404(Log, pk=pk)
    initial = initial_of(log)
    if request.method == "GET":
        return _page(request, log, LogEditForm(initial=initial, log=log))
    if "only_scale" in request.POST:
        return _page(request, log, LogEditForm(initial=initial | request.POST.dict(), log=log))
    form = LogEditForm(request.POST, initial=initial, log=log)
    status = 422
    if form.is_valid():
        try:
            with transaction.atomic():
                values = form.values() | contacts_added(request, form)
                log_change(by=request.user, log=log, version=form.cleaned_data["version"], **values)
        except ChangedMeanwhile as error:
            form.show_changed_meanwhile(error.current, initial_of(error.current), str(error))
            status = 409
        except LogRefused as error:
            form.add_error(error.field or None, str(error))
        else:
            messages.success(request, "Kept.")
            return redirect("yard:log-page", pk=log.pk)
    return _page(request, log, form, status)


def _page(request: HttpRequest, log: Log, form: LogEditForm, status: int = 200) -> HttpResponse:
    """The form with the scale of what is typed, or of the log as it stands."""
    if request.method == "POST":
        shown = scale_typed({**request.POST.dict(), "rule": log.rule})
    else:
        scale = log_scale(log.small_end_in, log.large_end_in, log.length_ft, defect_pct=log.defect_pct, rule=log.rule)
        shown = {"scale": scale, "missing": []}
    return render(request, "yard/log_edit.html", {"form": form, "log": log, **shown}, status=status)

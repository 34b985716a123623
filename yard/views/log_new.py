"""Taking in a log."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from yard.forms.log_form import LogForm, LogNewForm
from yard.models import Contact, Log
from yard.services.contact_named import contact_named
from yard.services.logs import log_add, log_tag_suggest
from yard.services.photos import photo_add
from yard.services.refused import LogRefused
from yard.views.log_scale import scale_typed


def log_new(request: HttpRequest) -> HttpResponse:
    """The form; with `only_scale` it comes back with the scale and nothing is saved."""
    today = timezone.localdate()
    if request.method == "GET":
        first = {"tag": log_tag_suggest(on=today), "arrived_on": today, "rule": request.yard.log_rule}
        return _page(request, LogNewForm(initial=first | request.GET.dict()), request.GET)
    form = LogNewForm(request.POST, request.FILES)
    if "only_scale" in request.POST:
        return _page(request, LogNewForm(initial=request.POST.dict()), request.POST)
    if form.is_valid():
        log = _taken_in(request, form)
        if log is not None:
            messages.success(request, f"Log {log.tag} is taken in.")
            return redirect("yard:log-new") if "another" in request.POST else redirect("yard:log-page", pk=log.pk)
    return _page(request, form, request.POST, status=422)


def contacts_added(request: HttpRequest, form: LogForm) -> dict[str, Contact]:
    """The contacts whose names were typed, by what they are to the log; within the caller's transaction."""
    return {role: contact_named(by=request.user, name=name, role=role) for role, name in form.new_contacts().items()}


def _taken_in(request: HttpRequest, form: LogNewForm) -> Log | None:
    """The new log with its photos, or nothing of it, with the errors in the form."""
    try:
        with transaction.atomic():
            values = form.values() | contacts_added(request, form)
            log = log_add(by=request.user, rule=form.cleaned_data["rule"], **values)
            for upload in form.cleaned_data["photos"]:
                photo_add(thing=log, upload=upload, by=request.user, time_zone=request.yard.time_zone)
            return log
    except LogRefused as error:
        form.add_error(error.field or None, str(error))
    except ValidationError as error:
        form.add_error("photos", [*error.messages, "Choose the pictures again: a browser forgets them."])
    return None


def _page(request: HttpRequest, form: LogNewForm, typed, status: int = 200) -> HttpResponse:
    return render(request, "yard/log_new.html", {"form": form, **scale_typed(typed)}, status=status)

"""Buttons of the saw: take the last row back, seal the ends, keep the kerf, call the log sawn."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect

from yard import quantities
from yard.forms.saw_form import KerfForm
from yard.models import Log, Slab
from yard.services.logs import log_finish_sawing, log_start_sawing
from yard.services.refused import Refused
from yard.services.saw_yield import saw_yield, slabs_of_log
from yard.services.sawing import saw_kerf, saw_seal, saw_undo
from yard.views.saw_log import saw_done, saw_sheet


def saw_undo_last(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back the row that the page showed as the last."""
    log = get_object_or_404(Log, pk=pk)
    slab = get_object_or_404(Slab, pk=request.POST.get("slab", "0") or "0", log=log)
    tag = slab.tag
    try:
        saw_undo(by=request.user, log=log, slab=slab)
    except Refused as error:
        return saw_sheet(request, log, status=409, refused=str(error))
    return saw_done(request, log, f"{tag} is taken back.")


def saw_seal_ends(request: HttpRequest, pk: int) -> HttpResponse:
    """All loose slabs of the log have their ends sealed today."""
    log = get_object_or_404(Log, pk=pk)
    count = saw_seal(by=request.user, log=log)
    return saw_done(request, log, f"Ends sealed today: {count} slab{'' if count == 1 else 's'}.")


def saw_keep_kerf(request: HttpRequest, pk: int) -> HttpResponse:
    """What the blade takes from this log."""
    log = get_object_or_404(Log, pk=pk)
    form = KerfForm(request.POST)
    if not form.is_valid():
        return saw_sheet(request, log, status=422, refused=" ".join(form.errors["kerf_in"]))
    try:
        saw_kerf(by=request.user, log=log, kerf_in=form.cleaned_data["kerf_in"])
    except Refused as error:
        return saw_sheet(request, log, status=409, refused=str(error))
    return saw_done(request, log, "The kerf is kept.")


def saw_start(request: HttpRequest, pk: int) -> HttpResponse:
    """The log goes on the mill, also again after it was called sawn."""
    log = get_object_or_404(Log, pk=pk)
    try:
        log_start_sawing(by=request.user, log=log)
    except Refused as error:
        messages.error(request, str(error))
        return redirect("yard:log-page", pk=log.pk)
    return redirect("yard:saw-log", pk=log.pk)


def saw_finish(request: HttpRequest, pk: int) -> HttpResponse:
    """The log is sawn: its page shows the yield and what comes next."""
    log = get_object_or_404(Log, pk=pk)
    try:
        log = log_finish_sawing(by=request.user, log=log)
    except Refused as error:
        return saw_sheet(request, log, status=409, refused=str(error))
    found = saw_yield(log, list(slabs_of_log(log)))
    words = (
        f"Log {log.tag} is sawn: {found.slabs} slab{'' if found.slabs == 1 else 's'}, {quantities.bf(found.sawn_bf)}."
    )
    messages.success(request, words)
    to = reverse("yard:log-page", args=[log.pk])
    return HttpResponseClientRedirect(to) if request.htmx else redirect(to)

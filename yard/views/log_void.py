"""Making a log void that was taken in by mistake."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.log_form import LogVoidForm
from yard.models import Log
from yard.services.logs import ChangedMeanwhile
from yard.services.logs import log_void as make_void
from yard.services.refused import LogRefused


def log_void(request: HttpRequest, pk: int) -> HttpResponse:
    """Asks why, and says what becomes of the record."""
    log = get_object_or_404(Log, pk=pk)
    form = LogVoidForm(request.POST or None, initial={"version": log.version})
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                make_void(by=request.user, log=log, **form.cleaned_data)
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, {}, str(error))
                status = 409
            except LogRefused as error:
                form.add_error(error.field or None, str(error))
            else:
                messages.success(request, f"Log {log.tag} is void. Its record is kept.")
                return redirect("yard:logs")
    return render(request, "yard/log_void.html", {"form": form, "log": log}, status=status)

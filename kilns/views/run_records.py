"""What was caught, read and seen of a run, and taking a wrong record out of the reckoning."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from kilns.forms.run_forms import CondensateForm, EnergyForm, ProngForm, RunNoteForm
from kilns.models import Condensate, EnergyReading, FinalReading, RunNote
from kilns.services.run_records import condensate_record, energy_record, run_note_record, run_record_void
from kilns.views.run_actions import done
from yard.models import Slab
from yard.services.refused import Refused

RECORDS = {"condensate": Condensate, "energy": EnergyReading, "note": RunNote, "final": FinalReading}


def run_condensate(request: HttpRequest, pk: int) -> HttpResponse:
    """Water caught since the last time."""

    def work(run: Any, form: CondensateForm) -> str:
        typed = form.fields["water_lb"].typed
        data = form.cleaned_data
        condensate_record(
            run=run, water_lb=data["water_lb"], at=data["at"], by=request.user,
            typed_value=f"{typed.typed_value:g}" if typed else "", typed_unit=typed.typed_unit if typed else "",
            client_key=form.key_of(),
        )  # fmt: skip
        return "The water is written down."

    return done(request, pk, "condensate", CondensateForm(request.POST), work, "seen")


def run_energy(request: HttpRequest, pk: int) -> HttpResponse:
    """What the meter shows."""

    def work(run: Any, form: EnergyForm) -> str:
        data = form.cleaned_data
        energy_record(run=run, meter_kwh=data["meter_kwh"], at=data["at"], by=request.user, client_key=form.key_of())
        return "The meter is written down."

    return done(request, pk, "energy", EnergyForm(request.POST), work, "seen")


def run_note(request: HttpRequest, pk: int) -> HttpResponse:
    """A note, or degrade that was seen."""
    slabs = {one.tag.lower(): one for one in Slab.objects.filter(memberships__stack__in_runs__run=pk).distinct()}

    def work(run: Any, form: RunNoteForm) -> str:
        run_note_record(run=run, by=request.user, **form.cleaned_data | {"client_key": form.key_of()})
        return "The note is written down."

    return done(request, pk, "note", RunNoteForm(request.POST, slabs=slabs), work, "seen")


def run_prong(request: HttpRequest, pk: int) -> HttpResponse:
    """A prong test."""

    def work(run: Any, form: ProngForm) -> str:
        data = form.cleaned_data
        run_note_record(
            run=run, kind="prong", value=form.inward_in(), note=data["note"], at=data["at"], by=request.user,
            client_key=form.key_of(),
        )  # fmt: skip
        return "The prong test is written down."

    return done(request, pk, "prong", ProngForm(request.POST), work, "seen")


def run_record_out(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Take a wrong record out of the reckoning, with a reason; it stays to be seen in the history."""
    if kind not in RECORDS:
        raise Http404
    record = get_object_or_404(RECORDS[kind], pk=pk)
    try:
        run_record_void(record=record, reason=request.POST.get("reason", ""), by=request.user)
        messages.success(request, "It does not count any more.")
    except Refused as error:
        messages.error(request, str(error))
    return redirect("kilns:run-final" if kind == "final" else "kilns:run-page", pk=record.run_id)

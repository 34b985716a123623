"""The clock of heat in the core: as probes showed it, or as the model follows it through the measured air."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from kilns.forms.heat_form import HeatForm
from kilns.models import Run
from kilns.physics.treatments import NO_LASTING_PROTECTION, NOT_A_CERTIFICATE
from kilns.services.core_hold import check_window, model_hold, probe_hold
from kilns.services.heat_asked import easier_than_asked, heat_asked
from kilns.services.run_sensors import run_sensors, run_span
from kilns.services.treatments import treatment_keep_model, treatment_keep_probe
from kilns.views.run_page import run_of
from yard.forms.service_errors import add_refusal
from yard.wood.ranges import OutsideRange


def run_sanitise(request: HttpRequest, pk: int) -> HttpResponse:
    """The probes' clock is read at once; the model runs, and a record is kept, when somebody asks."""
    run = run_of(pk)
    span = run_span(run)
    if span is None:
        messages.error(request, f"{run.name} has not begun: there is no heat to look at.")
        return redirect("kilns:run-page", pk=pk)
    asked = heat_asked(run, timezone.now())
    form = HeatForm(request.POST or None, initial=asked)
    context: dict[str, Any] = {
        "run": run, "form": form, "not_a_certificate": NOT_A_CERTIFICATE, "no_protection": NO_LASTING_PROTECTION,
    }  # fmt: skip
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                kept = _looked(request, run, form, context)
                status = 200
                if kept is not None:
                    return redirect("kilns:treatment-page", pk=kept)
            except ValidationError as error:
                add_refusal(form, error)
            except OutsideRange as error:
                form.add_error(None, f"{error}.")
    context["treatments"] = run.treatments.order_by("-id")
    return render(request, "kilns/run_sanitise.html", context, status=status)


def _looked(request: HttpRequest, run: Run, form: HeatForm, context: dict[str, Any]) -> int | None:
    """Both clocks for what is asked; the id of the record that was kept, if one was to be."""
    data, treatment = form.cleaned_data, form.treatment()
    sensors = run_sensors(run, run_span(run))
    window = (data["since"], data["until"])
    check_window(run, *window)
    context["probe"] = probe = probe_hold(sensors, *window, treatment)
    action = request.POST.get("action")
    if action == "keep-probe":
        return treatment_keep_probe(run=run, hold=probe, slowest=data["words"], by=request.user).pk
    context["easier"] = easier_than_asked(form.initial, form.piece())
    try:
        context["model"] = model = model_hold(
            sensors, *window, treatment, form.piece(), start_f=data["start_f"], loaded_at=run.started_at,
            elevation_ft=request.yard.elevation_ft,
        )  # fmt: skip
    except OutsideRange as error:
        if action == "keep-model" or not probe.probes:
            raise
        context["no_model"] = f"{error}."
        return None
    if action == "keep-model":
        return treatment_keep_model(
            run=run, treatment=treatment, hold=model, by=request.user, remarks=context["easier"]
        ).pk  # fmt: skip
    return None

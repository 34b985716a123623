"""What is done to a run from its page: start it, go on to the next phase or step, give it up."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from kilns.forms.run_forms import GiveUpForm, RunGoOnForm, RunStartForm
from kilns.services.runs import run_give_up as give_up
from kilns.services.runs import run_go_on as go_on
from kilns.services.runs import run_start as start
from kilns.views.run_page import run_of, shown
from yard.forms.service_errors import add_refusal
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.refused import Refused
from yard.wood.ranges import OutsideRange


def run_start(request: HttpRequest, pk: int) -> HttpResponse:
    """Moves the stacks into the kiln's bay and begins the warm-up."""

    def work(run: Any, form: RunStartForm) -> str:
        points = form.points(request.yard.elevation_ft)
        if points is None:
            return ""
        data = form.cleaned_data
        begun = data["at"] or timezone.now()
        start(run=run, by=request.user, at=begun, points=points, meter_kwh=data["meter_kwh"])
        return f"{run.name} has begun. Keep the door shut, and nobody inside."

    return done(request, pk, "start", RunStartForm(request.POST), work)


def run_go_on(request: HttpRequest, pk: int) -> HttpResponse:
    """Writes down which phase or step began, with its set points."""

    def work(run: Any, form: RunGoOnForm) -> str:
        points = form.points(request.yard.elevation_ft)
        if points is None:
            return ""
        data = form.cleaned_data
        kept = go_on(
            run=run, by=request.user, version=data["version"], phase=data["phase"], step=data["step"],
            at=data["at"] or timezone.now(), points=points, note=data["note"],
        )  # fmt: skip
        return f"Written down: {kept.get_phase_display().lower()}. Set it on the kiln; the program switches nothing."

    return done(request, pk, "go_on", RunGoOnForm(request.POST), work)


def run_give_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Gives a planned or a running run up, with a reason."""

    def work(run: Any, form: GiveUpForm) -> str:
        give_up(run=run, by=request.user, reason=form.cleaned_data["reason"])
        return f"{run.name} is given up; its stacks stay where they stand."

    return done(request, pk, "give_up", GiveUpForm(request.POST), work)


def done(
    request: HttpRequest, pk: int, name: str, form: Any, work: Callable[[Any, Any], str], anchor: str = ""
) -> HttpResponse:
    """Do what a valid form asks and go back to the page; else show the page with the form and its errors."""
    run = run_of(pk)
    status = 422
    if form.is_valid():
        try:
            if words := work(run, form):
                messages.success(request, words)
                response = redirect("kilns:run-page", pk=pk)
                response["Location"] += f"#{anchor}" if anchor else ""
                return response
        except ChangedMeanwhile as error:
            form.show_changed_meanwhile(error.current, {}, str(error))
            status = 409
        except ValidationError as error:
            add_refusal(form, error)
        except Refused as error:
            form.add_error(error.field if error.field in form.fields else None, str(error))
        except OutsideRange as error:
            form.add_error(None, f"{error}.")
    return shown(request, run_of(pk), status=status, **{name: form})

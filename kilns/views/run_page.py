"""The page of a run: what goes on, what is next and why, what was read and seen."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from kilns.forms.run_forms import (
    CondensateForm,
    EnergyForm,
    GiveUpForm,
    ProngForm,
    RunGoOnForm,
    RunNoteForm,
    RunStartForm,
)
from kilns.models import Phase, Run, RunState
from kilns.services.alarms import alarms_of
from kilns.services.run_page import RunPage
from kilns.services.run_page import run_page as read
from yard.models import History


def run_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything of a run; the forms post to their own addresses."""
    return shown(request, run_of(pk))


def run_of(pk: int) -> Run:
    """A run with what its page needs."""
    return get_object_or_404(Run.objects.select_related("kiln__bay", "schedule"), pk=pk)


def shown(request: HttpRequest, run: Run, status: int = 200, **forms: Any) -> HttpResponse:
    """The page, with a form that came back with its errors where there is one."""
    page = read(run, yard=request.yard)
    context = {
        "run": run, "page": page, "now": timezone.now(), "came_back": next(iter(forms), ""),
        "alarms": alarms_of(run) if run.state == RunState.RUNNING else [],
        "forms": _forms(run, page) | forms,
        "history": History.objects.filter(table="run", row_id=run.pk).select_related("by").order_by("-id")[:8],
    }  # fmt: skip
    return render(request, "kilns/run_page.html", context, status=status)


def _forms(run: Run, page: RunPage) -> dict[str, Any]:
    if run.state == RunState.PLANNED:
        first = page.steps.rows[0].step if page.steps.rows else None
        points = {"dry_bulb_f": first.dry_bulb_f, "wet_bulb_f": first.wet_bulb_f} if first else {}
        return {"start": RunStartForm(initial=points), "give_up": GiveUpForm()}
    if run.state != RunState.RUNNING:
        return {}
    advice = page.steps.advice
    initial = {"version": run.version, "phase": run.phase or Phase.WARM_UP, "step": run.step}
    if advice is not None:
        initial |= {"phase": advice.phase, "step": advice.step}
        initial |= {"dry_bulb_f": advice.dry_bulb_f, "wet_bulb_f": advice.wet_bulb_f}
    return {
        "go_on": RunGoOnForm(initial=initial), "condensate": CondensateForm(), "energy": EnergyForm(),
        "note": RunNoteForm(), "prong": ProngForm(), "give_up": GiveUpForm(),
    }  # fmt: skip

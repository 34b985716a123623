"""The page of a charge: which stacks, what they would take in this kiln, and planning the run."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from kilns.forms.charge_form import ChargeForm
from kilns.models import Kiln, Run
from kilns.services.charge_chosen import Chosen, chosen_stacks, chosen_worked_out
from kilns.services.charge_mixes import charge_mixes
from kilns.services.charge_schedules import charge_schedule_keep
from kilns.services.charge_stacks import charge_stacks
from kilns.services.runs import run_plan
from yard.forms.service_errors import add_refusal
from yard.wood.ranges import OutsideRange


def charge_page(request: HttpRequest, pk: int) -> HttpResponse:
    """GET shows the candidates; "Work it out" takes seconds and answers below; "Plan this run" keeps it."""
    kiln = get_object_or_404(Kiln.objects.select_related("bay"), pk=pk)
    form = ChargeForm(request.POST or None, initial=_initial(request))
    chosen, status = None, 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            chosen = chosen_stacks(kiln, form.cleaned_data["stacks"], yard=request.yard, today=timezone.localdate())
            try:
                if request.POST.get("action") == "plan":
                    return redirect("kilns:run-page", pk=_planned(request, kiln, form, chosen).pk)
                chosen = _worked(request, kiln, form, chosen)
                status = 200
            except OutsideRange as error:
                form.add_error(None, f"{error}.")
            except ValidationError as error:
                add_refusal(form, error)
    found = charge_stacks(kiln, yard=request.yard, today=timezone.localdate())
    context = {
        "kiln": kiln, "form": form, "found": found, "mixes": charge_mixes(kiln, found.good), "chosen": chosen,
        "ticked": _ticked(form), "queued": Run.objects.queued().filter(kiln=kiln),
    }  # fmt: skip
    return render(request, "kilns/charge_page.html", context, status=status)


def _initial(request: HttpRequest) -> dict:
    ids = [int(one) for one in request.GET.get("stacks", "").split(",") if one.isdecimal()]
    return {"stacks": ids, "target_mc_pct": request.yard.dry_target_pct, "start_on": timezone.localdate()}


def _ticked(form: ChargeForm) -> set[int]:
    values = form.data.getlist("stacks") if form.is_bound else form.initial["stacks"]
    return {int(one) for one in values if str(one).isdecimal()}


def _worked(request: HttpRequest, kiln: Kiln, form: ChargeForm, chosen: Chosen) -> Chosen:
    data = form.cleaned_data
    worked = chosen_worked_out(
        kiln, chosen, kept=data["schedule"], target_mc_pct=data["target_mc_pct"], start_on=data["start_on"],
        yard=request.yard,
    )  # fmt: skip
    form.data = form.data.copy()
    form.data["worked"] = form.plan_signed(worked.worked.as_plan())
    return worked


def _planned(request: HttpRequest, kiln: Kiln, form: ChargeForm, chosen: Chosen) -> Run:
    """Keep the run with what was worked out; worked out now where anything was changed since."""
    data = form.cleaned_data
    plan = form.plan_kept()
    if plan is None:
        plan = _worked(request, kiln, form, chosen).worked.as_plan()
    schedule = charge_schedule_keep(kept=data["schedule"], wood=chosen.deciding, yard=request.yard, by=request.user)
    run = run_plan(
        kiln=kiln, stacks=list(data["stacks"]), schedule=schedule, target_mc_pct=data["target_mc_pct"],
        by=request.user, planned_start_on=data["start_on"], plan=plan, name=data["name"],
    )  # fmt: skip
    messages.success(request, f"{run.name} is planned.")
    return run

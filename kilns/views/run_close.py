"""The end of a run: the final MC by board, and closing it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from kilns.forms.close_form import CloseForm, FinalForm
from kilns.services.run_closing import run_close as close
from kilns.services.run_records import final_reading_record
from kilns.services.run_slabs import slabs_of_charge
from kilns.views.run_page import run_of
from yard.forms.service_errors import add_refusal
from yard.models import BayKind
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.refused import Refused
from yard.services.stack_list import bays_open
from yard.wood.ranges import OutsideRange


def run_final(request: HttpRequest, pk: int) -> HttpResponse:
    """The final MC of the boards, as many as were measured; it can be added to until the run is closed."""
    run = run_of(pk)
    slabs = list(slabs_of_charge(run).select_related("cohort"))
    form = FinalForm(request.POST or None, slabs=slabs)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            for slab, content, shell, core in form.told():
                final_reading_record(
                    run=run, slab=slab, mc_pct=content, shell_pct=shell, core_pct=core, at=data["at"],
                    by=request.user, by_meter=data["by_meter"],
                    client_key=form.key_of(slab.pk, content, shell, core, data["at"]),
                )  # fmt: skip
            messages.success(request, f"The final MC of {len(form.told())} boards is written down.")
            return redirect("kilns:run-close", pk=pk)
        except ValidationError as error:
            add_refusal(form, error)
        except OutsideRange as error:
            form.add_error(None, f"{error}.")
    had = run.final_readings.standing().select_related("slab").order_by("-made_at", "-id")
    status = 422 if request.method == "POST" else 200
    return render(request, "kilns/run_final.html", {"run": run, "form": form, "had": had}, status=status)


def run_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Closes the run: the slabs turn up dry and for sale."""
    run = run_of(pk)
    store = bays_open().filter(kind=BayKind.DRY_STORE).first()
    form = CloseForm(request.POST or None, initial={"version": run.version, "store": store})
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                kept = close(run=run, by=request.user, version=form.cleaned_data["version"], closing=form.closing())
                messages.success(request, f"{kept.name} is closed: {kept.closing['slabs']} slabs are dry.")
                return redirect("kilns:run-page", pk=pk)
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, {}, str(error))
                status = 409
            except ValidationError as error:
                add_refusal(form, error)
            except (Refused, OutsideRange) as error:
                form.add_error(None, str(error))
    finals = run.final_readings.standing().select_related("slab").order_by("-made_at", "-id")
    return render(request, "kilns/run_close.html", {"run": run, "form": form, "finals": finals}, status=status)

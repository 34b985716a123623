"""A record of heat treatment, to print; plainly not a certificate."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from kilns.forms.heat_form import TreatmentForm
from kilns.models import Treatment
from kilns.physics.treatments import NO_LASTING_PROTECTION, NOT_A_CERTIFICATE, heat_treatment
from kilns.services.run_slabs import slabs_in_load
from kilns.services.treatments import treatment_change
from yard.forms.service_errors import add_refusal
from yard.models import History
from yard.services.changed_meanwhile import ChangedMeanwhile


def treatment_page(request: HttpRequest, pk: int) -> HttpResponse:
    """The record on one page; its words may be changed, and the history of that is printed with it."""
    treatment = get_object_or_404(Treatment.objects.select_related("run__kiln", "by"), pk=pk)
    form = TreatmentForm(request.POST or None, initial={"version": treatment.version, "slowest": treatment.slowest})
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            data = form.cleaned_data
            try:
                treatment_change(treatment=treatment, by=request.user, version=data["version"], slowest=data["slowest"])
                messages.success(request, "Kept; the history says what it was before.")
                return redirect("kilns:treatment-page", pk=pk)
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, {"slowest": error.current.slowest}, str(error))
                status = 409
            except ValidationError as error:
                add_refusal(form, error)
    context = {
        "treatment": treatment, "form": form, "told": heat_treatment(treatment.kind),
        "not_a_certificate": NOT_A_CERTIFICATE, "no_protection": NO_LASTING_PROTECTION,
        "slabs": slabs_in_load(treatment.run, treatment.began_at, treatment.ended_at),
        "history": History.objects.filter(table="treatment", row_id=pk).select_related("by").order_by("id"),
    }  # fmt: skip
    return render(request, "kilns/treatment_page.html", context, status=status)

"""One sample or slab on the scale: last and expected weight first, then the figure, then what it changed."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yard.forms.weigh_forms import WeightForm, figure_as_typed
from yard.models import Sample, Weighing
from yard.services.sample_mc import sample_dry_weight
from yard.services.samples import sample_follow, sample_of_slab
from yard.services.weigh_subject import WeighSubject
from yard.services.weighing_outlook import weighing_outlook
from yard.services.weighings import ImplausibleWeightError, weighing_check, weighing_record
from yard.views.weigh_record import fresh_form, in_scale_units, kept_response, subject_or_404, usual_unit

SHOWN_WEIGHINGS = 12


def weigh_sample(request: HttpRequest, code: str) -> HttpResponse:
    """Show what is expected; keep what the scale shows, after asking about what is hardly possible."""
    subject = subject_or_404(code)
    if subject.kind == "stack":
        return redirect("yard:weigh-stack", code=subject.code)
    form = fresh_form(WeightForm, request, {"unit": usual_unit(request)})
    if subject.cohorts:
        form.started_on = subject.cohorts[0].started_on
    if request.method == "POST" and form.is_valid() and not subject.why_not:
        record = _kept(request, subject, form)
        if record is not None:
            return kept_response(request, record, "weighing", unit=form.cleaned_data["unit"])
    status = 422 if form.errors else 200
    return in_scale_units(request, form, lambda: _page(request, subject, form, status))


def _kept(request: HttpRequest, subject: WeighSubject, form: WeightForm) -> Weighing | None:
    data, typed = form.cleaned_data, form.cleaned_data["weight_typed"]
    try:
        if not Weighing.objects.filter(client_key=data["client_key"]).exists():
            sure = data["confirmed"] == typed.text
            weighing_check(
                sample=subject.sample_or_new(), weight_lb=typed.value, confirmed=sure, made_at=data["made_at"]
            )  # fmt: skip
    except ImplausibleWeightError as error:
        form.add_error("weight", str(error))
        form.may_confirm = typed.text if error.may_confirm else ""
        return None
    if subject.sample is None:
        sample = sample_of_slab(slab=subject.slab, by=request.user)
    else:
        sample = sample_follow(sample=Sample.objects.get(pk=subject.sample.pk))
    record, _new = weighing_record(
        sample=sample, weight_lb=typed.value, by=request.user, made_at=data["made_at"],
        client_key=data["client_key"], typed_value=figure_as_typed(typed), typed_unit=typed.typed_unit,
        note=data["note"],
    )  # fmt: skip
    return record


def _page(request: HttpRequest, subject: WeighSubject, form: WeightForm, status: int) -> HttpResponse:
    context: dict[str, Any] = {"subject": subject, "form": form, "here": "weight"}
    if not subject.why_not:
        context["outlook"] = weighing_outlook(sample=subject.sample_or_new())
    if subject.sample is not None:
        context |= _weights(subject.sample)
    return render(request, "yard/weigh_sample.html", context, status=status)


def _weights(sample: Sample) -> dict[str, Any]:
    """The newest weighings with the moisture content that the sample's own oven-dry weight gives them."""
    dry = sample_dry_weight(sample)
    rows = [
        (one, dry.mc_pct(one.weight_lb) if dry and not one.voided else None)
        for one in sample.weighings.select_related("by").order_by("-made_at", "-id")[: SHOWN_WEIGHINGS + 1]
    ]
    last = next((one for one, _mc in rows if not one.voided), None)
    return {
        "weights": rows[:SHOWN_WEIGHINGS], "more_weights": len(rows) > SHOWN_WEIGHINGS, "dry": dry,
        "mc_last": dry.mc_pct(last.weight_lb) if dry and last else None, "last": last,
        "working_mc": dry.working_mc(last.weight_lb) if dry and last else None,
    }  # fmt: skip

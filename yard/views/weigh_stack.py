"""A whole stack: its weight on a scale or a loader, and the samples in it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yard.forms.weigh_forms import StackWeightForm, figure_as_typed
from yard.models import StackWeighing
from yard.services.weigh_subject import WeighSubject
from yard.services.weighing_outlook import stack_weighing_outlook
from yard.services.weighings import ImplausibleWeightError, stack_weighing_check, stack_weighing_record
from yard.views.weigh_record import fresh_form, in_scale_units, kept_response, subject_or_404, usual_unit


def weigh_stack(request: HttpRequest, code: str) -> HttpResponse:
    """The stack's samples to go on to, and a form for the weight of all of it."""
    subject = subject_or_404(code)
    if subject.kind != "stack":
        return redirect("yard:weigh-sample", code=subject.code)
    form = fresh_form(StackWeightForm, request, {"unit": usual_unit(request)})
    form.started_on = min((cohort.started_on for cohort in subject.cohorts), default=None)
    if request.method == "POST" and form.is_valid() and not subject.why_not:
        record = _kept(request, subject, form)
        if record is not None:
            return kept_response(request, record, "stack-weighing", unit=form.cleaned_data["unit"])
    outlook = stack_weighing_outlook(stack=subject.stack)
    context = {"subject": subject, "form": form, "here": "stack", "outlook": outlook}
    status = 422 if form.errors else 200
    return in_scale_units(request, form, lambda: render(request, "yard/weigh_stack.html", context, status=status))


def _kept(request: HttpRequest, subject: WeighSubject, form: StackWeightForm) -> StackWeighing | None:
    data, typed, tare = form.cleaned_data, form.cleaned_data["weight_typed"], form.cleaned_data["tare_typed"]
    tare_lb = tare.value if tare else 0.0
    try:
        if not StackWeighing.objects.filter(client_key=data["client_key"]).exists():
            sure = data["confirmed"] == typed.text
            stack_weighing_check(stack=subject.stack, weight_lb=typed.value, tare_lb=tare_lb, confirmed=sure)
    except ImplausibleWeightError as error:
        form.add_error("weight", str(error))
        form.may_confirm = typed.text if error.may_confirm else ""
        return None
    record, _new = stack_weighing_record(
        stack=subject.stack, weight_lb=typed.value, tare_lb=tare_lb, by=request.user, made_at=data["made_at"],
        client_key=data["client_key"], typed_value=figure_as_typed(typed), typed_unit=typed.typed_unit,
        note=data["note"],
    )  # fmt: skip
    return record

"""Taking a record out of the reckoning, with a reason; it stays to be seen."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.weigh_forms import VoidForm
from yard.models import Record, StackWeighing, Weighing
from yard.services.moisture_records import moisture_record_void
from yard.services.record_answer import cohorts_of, estimates_after
from yard.services.refused import Refused
from yard.services.weighings import stack_weighing_void, weighing_void
from yard.views.weigh_record import RECORDS


def record_void(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Ask why; then the estimates are made anew without it."""
    if kind not in RECORDS:
        raise Http404
    record = get_object_or_404(RECORDS[kind].objects.select_related("by"), pk=pk)
    form = VoidForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            _void(record, form.cleaned_data["reason"], request)
        except Refused as error:
            form.add_error("reason", str(error))
        else:
            words = estimates_after(cohorts=cohorts_of(record), because=f"{kind} voided by {request.user}")
            messages.success(request, "It counts no more. " + (words or "The estimate is made anew without it."))
            return redirect("yard:stack-page", pk=_stack_pk(record))
    context = {"form": form, "record": record, "kind": kind, "stack_pk": _stack_pk(record)}
    return render(request, "yard/record_void.html", context, status=422 if form.errors else 200)


def _void(record: Record, reason: str, request: HttpRequest) -> None:
    if isinstance(record, Weighing):
        weighing_void(weighing=record, reason=reason, by=request.user)
    elif isinstance(record, StackWeighing):
        stack_weighing_void(weighing=record, reason=reason, by=request.user)
    else:
        moisture_record_void(record=record, reason=reason, by=request.user)


def _stack_pk(record: Record) -> int:
    if isinstance(record, StackWeighing):
        return record.stack_id
    return record.sample.cohort.stack_id if isinstance(record, Weighing) else record.cohort.stack_id

"""After a record was kept: what it says, and what it changed."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from yard.models import Record
from yard.services.record_answer import answers
from yard.services.sample_mc import sample_dry_weight
from yard.shown_units import showing, shown
from yard.views.weigh_record import RECORDS


def weigh_kept(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """What was kept and what it changed; the same however often it is opened."""
    if kind not in RECORDS:
        raise Http404
    record = get_object_or_404(RECORDS[kind].objects.select_related("by"), pk=pk)
    sample = getattr(record, "sample", None)
    dry = sample_dry_weight(sample) if sample else None
    weight_lb = record.weight_lb if kind == "weighing" else getattr(record, "sample_weight_lb", None)
    context = {
        "record": record, "kind": kind, "answers": answers(record), "sample": sample, "dry": dry,
        "mc": dry.mc_pct(weight_lb) if dry and weight_lb else None,
        "working_mc": dry.working_mc(weight_lb) if dry and weight_lb else None,
        "no_estimate": "estimate" in request.GET, "code": _code(record, kind),
    }  # fmt: skip
    with showing("metric" if record.typed_unit in ("kg", "g") else "imperial", shown().currency):
        return render(request, "yard/weigh_kept.html", context)


def _code(record: Record, kind: str) -> str:
    """The label to go back to."""
    if kind == "stack-weighing":
        return record.stack.code
    if kind == "reading":
        return record.slab.code if record.slab else record.cohort.stack.code
    return record.sample.code if record.sample else record.cohort.stack.code

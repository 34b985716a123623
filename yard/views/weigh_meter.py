"""A pin meter's reading of a slab, a sample or a wood of a stack."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard.forms.weigh_forms import MeterForm
from yard.models import MeterReading
from yard.services.moisture_records import meter_judge, meter_reading_record
from yard.services.weigh_subject import WeighSubject
from yard.views.weigh_record import fresh_form, kept_response, subject_or_404
from yard.wood.meters import PIN_MEAN_SHARE
from yard.wood.ranges import OutsideRange


def weigh_meter(request: HttpRequest, code: str) -> HttpResponse:
    """Keep a reading; one that pins cannot tell is asked about, and kept without weight when insisted on."""
    subject = subject_or_404(code)
    form = fresh_form(MeterForm, request, _usual(request, subject), cohorts=subject.cohorts)
    if request.method == "POST" and form.is_valid() and not subject.why_not:
        record = _kept(request, subject, form)
        if record is not None:
            return kept_response(request, record, "reading")
    context = {"subject": subject, "form": form, "here": "meter", "depths": _depths(subject, form)}
    return render(request, "yard/weigh_meter.html", context, status=422 if form.errors else 200)


def _kept(request: HttpRequest, subject: WeighSubject, form: MeterForm) -> MeterReading | None:
    data = form.cleaned_data
    cohort, reading, temp_f = data["cohort"], data["reading_pct"], data["wood_temp_f"]
    if data["depth_in"] > cohort.thickness_in:
        form.add_error("depth_in", "That is deeper than the wood is thick: look at the depth and its unit.")
        return None
    try:
        judged = meter_judge(reading, temp_f)
    except OutsideRange as error:
        form.add_error("reading_pct", str(error))
        return None
    if not judged.usable and data["confirmed"] != f"{reading:g}":
        form.add_error("reading_pct", f"{judged.reason} It can be kept, but it will count for nothing.")
        form.may_confirm = f"{reading:g}"
        return None
    depth = form.fields["depth_in"].typed
    record, _new = meter_reading_record(
        cohort=cohort, slab=subject.slab, reading_pct=reading, depth_in=data["depth_in"], wood_temp_f=temp_f,
        meter_species=data["meter_species"], by=request.user, made_at=data["made_at"],
        client_key=data["client_key"], typed_value=f"{reading:g}", typed_unit="%",
        note=_note(data["note"], depth),
    )  # fmt: skip
    return record


def _note(note: str, depth: Any) -> str:
    """The note, with the depth as it was typed where that was in another unit."""
    if depth is None or depth.typed_unit == "in":
        return note
    return f"{note} (depth typed: {depth.typed_value:g} {depth.typed_unit})".strip()[:500]


def _usual(request: HttpRequest, subject: WeighSubject) -> dict[str, Any]:
    """The depth at which pins read about the mean, and what the meter was set to last time."""
    cohort = subject.cohorts[0] if subject.cohorts else None
    if cohort is None:
        return {}
    last = MeterReading.objects.filter(cohort=cohort).order_by("-made_at").first()
    mine = MeterReading.objects.filter(by=request.user).exclude(meter_species="").order_by("-id").first()
    species = last.meter_species if last and last.meter_species else (mine.meter_species if mine else "")
    depth_in = _sixteenths(cohort.thickness_in * PIN_MEAN_SHARE)
    return {"cohort": cohort.pk, "depth_in": depth_in, "meter_species": species}


def _depths(subject: WeighSubject, form: MeterForm) -> list[tuple[str, float, str]]:
    """Depths offered as buttons: what is read there, the depth, and how it is typed."""
    if not subject.cohorts:
        return []
    thickness_in = subject.cohorts[0].thickness_in
    shares = {"the mean": PIN_MEAN_SHARE, "the core": 0.5, "the shell": 0.1}
    depths = {words: _sixteenths(thickness_in * share) for words, share in shares.items()}
    field = form.fields["depth_in"]
    return [(words, depth_in, field.prepare_value(depth_in)) for words, depth_in in depths.items()]


def _sixteenths(value_in: float) -> float:
    return max(1, round(value_in * 16)) / 16

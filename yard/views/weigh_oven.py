"""An oven-dried section: it fixes the moisture content on the day it was cut."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard.forms.weigh_forms import OvenForm, figure_as_typed
from yard.models import OvenSection
from yard.services.moisture_records import oven_section_record
from yard.views.weigh_record import (
    fresh_form,
    in_scale_units,
    kept_response,
    subject_or_404,
    usual_bench_unit,
    usual_unit,
)
from yard.wood.density import mc_max_pct
from yard.wood.ranges import OutsideRange
from yard.wood.species import species


def weigh_oven(request: HttpRequest, code: str) -> HttpResponse:
    """Keep a section, and with the sample's weight the sample's oven-dry weight."""
    subject = subject_or_404(code)
    initial: dict[str, Any] = {"unit": usual_unit(request), "bench_unit": usual_bench_unit(request)}
    initial |= {"sample": subject.sample.pk} if subject.sample else {}
    form = fresh_form(OvenForm, request, initial, cohorts=subject.cohorts, samples=subject.samples)
    if request.method == "POST" and form.is_valid() and not subject.why_not:
        record = _kept(request, form)
        if record is not None:
            units = {"unit": form.cleaned_data["unit"], "bench_unit": form.cleaned_data["bench_unit"]}
            return kept_response(request, record, "section", **units)
    context = {"subject": subject, "form": form, "here": "oven"}
    status = 422 if form.errors else 200
    return in_scale_units(request, form, lambda: render(request, "yard/weigh_oven.html", context, status=status))


def _kept(request: HttpRequest, form: OvenForm) -> OvenSection | None:
    data = form.cleaned_data
    wet, dry, rest = data["wet_typed"], data["oven_dry_typed"], data["sample_weight_typed"]
    sample = data["sample"]
    cohort = sample.cohort if sample else data["cohort"]
    if wet.value <= dry.value:
        form.add_error("oven_dry", "As heavy as the wet one or heavier: are the two the wrong way round?")
        return None
    if (why := _more_than_it_holds(wet.value, dry.value, cohort)) and data["confirmed"] != f"{wet.text}/{dry.text}":
        form.add_error("oven_dry", why)
        form.may_confirm = f"{wet.text}/{dry.text}"
        return None
    try:
        record, _new = oven_section_record(
            cohort=cohort, wet_lb=wet.value, oven_dry_lb=dry.value, by=request.user, cut_at=data["cut_at"],
            sample=sample, sample_weight_lb=rest.value if rest else None, client_key=data["client_key"],
            typed_value=figure_as_typed(rest) if rest else f"{figure_as_typed(wet)} / {figure_as_typed(dry)}",
            typed_unit=rest.typed_unit if rest else dry.typed_unit, note=data["note"],
        )  # fmt: skip
    except OutsideRange as error:
        form.add_error("oven_dry", str(error))
        return None
    return record


def _more_than_it_holds(wet_lb: float, dry_lb: float, cohort) -> str:
    """A sentence when the section held more water than its wood usually can."""
    most = mc_max_pct(species(cohort.species_key).basic_specific_gravity)
    found = 100 * (wet_lb / dry_lb - 1)
    if found <= most:
        return ""
    return (
        f"That is {found:.0f}% MC; wood of this kind, soaked through, holds about {most:.0f}%. "
        "Look at both weights and the unit. Right all the same? Then confirm it."
    )

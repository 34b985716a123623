"""The page of a kiln: its sheet, and what if a figure were another."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from kilns.forms.asked_form import AskedForm
from kilns.models import Kiln
from kilns.services.alarms import alarms_of
from kilns.services.kiln_boxes import box_of
from kilns.services.kiln_build import Build, build_of
from kilns.services.kiln_queue import kiln_runs
from kilns.services.kiln_sheet import KilnSheet, kiln_sheet
from yard.models import History
from yard.shown_units import shown
from yard.wood.units import c_from_f


def kiln_page(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet for what is asked in the address; nothing is saved."""
    kiln = get_object_or_404(Kiln.objects.select_related("bay"), pk=pk)
    build = build_of(kiln)
    own = _own_figures(kiln, build)
    form = AskedForm.opened(request.GET, own)
    found = kiln_sheet(kiln, form.asked(), request.yard)
    tried = [name for name, value in own.items() if form.cleaned_data.get(name, value) not in (value, None)]
    context = {
        "kiln": kiln, "build": build, "form": form, "sheet": found.value, "refusal": found.refusal, "tried": tried,
        "alarms": alarms_of(kiln), "runs": kiln_runs(kiln), "winter": _winter(found.value) if found.value else None,
        "history": History.objects.filter(table="kiln", row_id=kiln.pk).select_related("by").order_by("-id")[:6],
    }  # fmt: skip
    return render(request, "kilns/kiln_page.html", context, status=422 if request.GET and form.errors else 200)


def _own_figures(kiln: Kiln, build: Build) -> dict:
    """What the kiln has as it is, of the figures that may be tried."""
    box = box_of(kiln, build=build)
    return {
        "heater_w": box.heater_w, "air_changes_per_h": kiln.air_changes_per_h, "tilt_deg": kiln.glazing_tilt_deg,
        "pints_per_day": box.dehumidifier.pints_per_day if box.dehumidifier else None, "r_added": 0.0,
    }  # fmt: skip


def _winter(sheet: KilnSheet) -> dict | None:
    """The winter chart's data in the person's unit."""
    lines, asked = sheet.winter.value, sheet.question.asked
    if not lines:
        return None
    unit = c_from_f if shown().metric else float
    return {
        "unit": "°C" if shown().metric else "°F",
        "outdoor": [round(unit(one.outdoor_f), 1) for one in lines],
        "held": [round(unit(one.held.temp_f), 1) for one in lines],
        "low": [round(unit(one.held.low_f), 1) for one in lines],
        "high": [round(unit(one.held.high_f), 1) for one in lines],
        "marks": [
            {"at": round(unit(asked.drying_f), 1), "words": "dry"},
            {"at": round(unit(asked.sanitising_f), 1), "words": "sanitise"},
        ],
    }

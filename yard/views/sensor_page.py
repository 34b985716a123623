"""One sensor: what it measured of late, where it counts, and its files."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.models import Sensor
from yard.services.readings import HOURS_FOR_A_DAY
from yard.services.sensors import sensor_retire
from yard.wood.moisture import EMC_COLDEST_F, equilibrium_mc_pct

SHOWN_DAYS = 30


def sensor_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Its newest days and newest readings; nothing is counted, however many there are."""
    sensor = get_object_or_404(Sensor, pk=pk)
    days = list(sensor.days.order_by("-day")[:SHOWN_DAYS])
    context = {
        "sensor": sensor,
        "days": [(day, _emc_pct(day), day.hours >= HOURS_FOR_A_DAY) for day in days],
        "newest": sensor.readings.order_by("-at").first(),
        "oldest": sensor.readings.order_by("at").first(),
        "bays": sensor.bays.filter(air="sensor").order_by("name"),
        "tokens": sensor.reading_tokens.open(),
        "hours_for_a_day": HOURS_FOR_A_DAY,
    }
    return render(request, "yard/sensor_page.html", context)


def sensor_retire_now(request: HttpRequest, pk: int) -> HttpResponse:
    """Take no more readings of it."""
    sensor = get_object_or_404(Sensor, pk=pk)
    try:
        sensor_retire(sensor=sensor, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{sensor.name} is retired; what it measured stays.")
    return redirect("yard:sensor-page", pk=sensor.pk)


def _emc_pct(day: Any) -> float | None:
    if day.temp_f is None or day.rh_pct is None:
        return None
    return float(equilibrium_mc_pct(max(day.temp_f, EMC_COLDEST_F), min(max(day.rh_pct, 0.0), 100.0)))

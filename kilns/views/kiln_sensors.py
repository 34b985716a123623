"""The sensors of a kiln: put in, moved, taken out."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from kilns.forms.kiln_sensor_form import KilnSensorForm
from kilns.models import Kiln, KilnSensor
from kilns.services.kiln_sensors import kiln_sensor_put, kiln_sensor_take_out
from yard.forms.service_errors import add_refusal


def kiln_sensors(request: HttpRequest, pk: int) -> HttpResponse:
    """Those that stand in it, and a form for one more; a sensor in another kiln is refused."""
    kiln = get_object_or_404(Kiln, pk=pk)
    form = KilnSensorForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            row = kiln_sensor_put(kiln=kiln, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"{row.sensor.name}: {row.get_place_display().lower()}.")
            return redirect("kilns:kiln-sensors", pk=kiln.pk)
    standing = kiln.kiln_sensors.filter(until__isnull=True).select_related("sensor").order_by("place", "sensor__name")
    context = {"kiln": kiln, "form": form, "standing": standing}
    return render(request, "kilns/kiln_sensors.html", context, status=422 if form.errors else 200)


def kiln_sensor_out(request: HttpRequest, pk: int, place_pk: int) -> HttpResponse:
    """It stands there no longer."""
    place = get_object_or_404(KilnSensor.objects.select_related("sensor"), pk=place_pk, kiln_id=pk)
    kiln_sensor_take_out(place=place, by=request.user)
    messages.success(request, f"{place.sensor.name} is taken out; what it measured stays.")
    return redirect("kilns:kiln-sensors", pk=pk)

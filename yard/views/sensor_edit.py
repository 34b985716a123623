"""Adding a sensor, and changing one."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.service_errors import add_refusal
from yard.forms.weather_forms import SensorEditForm, SensorForm, initial_of
from yard.models import Sensor, SensorKind
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.sensors import sensor_add, sensor_change


def sensor_new(request: HttpRequest) -> HttpResponse:
    """Name it, and go on to its page."""
    form = SensorForm(request.POST or None, initial={"kind": SensorKind.AIR})
    if request.method == "POST" and form.is_valid():
        try:
            sensor = sensor_add(by=request.user, **form.values())
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"{sensor.name} is added. Read a file of its readings next.")
            return redirect("yard:sensor-page", pk=sensor.pk)
    return render(request, "yard/sensor_edit.html", {"form": form}, status=422 if form.errors else 200)


def sensor_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Two people at once see each other's values."""
    sensor = get_object_or_404(Sensor, pk=pk)
    form = SensorEditForm(request.POST or None, initial=initial_of(sensor))
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                sensor_change(
                    sensor=sensor, by=request.user, version=form.cleaned_data["version"], **form.values()
                )  # fmt: skip
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, initial_of(error.current), str(error))
                status = 409
            except ValidationError as error:
                add_refusal(form, error)
            else:
                messages.success(request, "The sensor is changed.")
                return redirect("yard:sensor-page", pk=sensor.pk)
    return render(request, "yard/sensor_edit.html", {"form": form, "sensor": sensor}, status=status)

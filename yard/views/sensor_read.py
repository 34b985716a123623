"""Reading a sensor's file: choose it, say what its columns are, look at what it gives, keep it."""

from dataclasses import asdict

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.weather_forms import SensorColumnsForm, SensorFileForm
from yard.models import Sensor
from yard.services.incoming_files import (
    IncomingGone,
    IncomingTooLarge,
    incoming_drop,
    incoming_keep,
    incoming_read,
)
from yard.services.sensor_files import (
    SensorPreview,
    sensor_choices,
    sensor_file_keep,
    sensor_file_names,
    sensor_file_preview,
)
from yard.services.stale_estimates import estimates_refresh_some
from yard.wood.weather.weather_file import CannotReadWeather


def sensor_read(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose a file; with a known layout it is looked at at once."""
    sensor = get_object_or_404(Sensor, pk=pk)
    form = SensorFileForm(request.POST, request.FILES) if request.method == "POST" else SensorFileForm()
    if request.method == "POST" and form.is_valid():
        upload = form.cleaned_data["file"]
        content = upload.read()
        try:
            names = sensor_file_names(content)
            token = incoming_keep(files=[(upload.name, content)], by=request.user)
        except (CannotReadWeather, IncomingTooLarge) as error:
            form.add_error("file", str(error))
        else:
            columns = SensorColumnsForm(initial=asdict(sensor_choices(sensor, content)), names=names)
            return _look(request, sensor, token, columns, upload.name)
    status = 422 if form.errors else 200
    return render(request, "yard/sensor_read.html", {"form": form, "sensor": sensor}, status=status)


def sensor_columns(request: HttpRequest, pk: int) -> HttpResponse:
    """Look at the file by the columns chosen, or keep it."""
    sensor = get_object_or_404(Sensor, pk=pk)
    token = request.POST.get("token", "")
    try:
        name, content = incoming_read(token=token, by=request.user)[0]
    except IncomingGone as error:
        messages.error(request, str(error))
        return redirect("yard:sensor-read", pk=sensor.pk)
    form = SensorColumnsForm(request.POST, names=sensor_file_names(content))
    if not form.is_valid():
        return _look(request, sensor, token, form, name, status=422)
    try:
        preview = sensor_file_preview(sensor=sensor, content=content, choices=form.choices(), yard=request.yard)
    except CannotReadWeather as error:
        form.add_error(None, str(error))
        return _look(request, sensor, token, form, name, status=422)
    if request.POST.get("do") != "keep":
        return _look(request, sensor, token, form, name, preview=preview)
    taken = sensor_file_keep(sensor=sensor, preview=preview, choices=form.choices())
    incoming_drop(token=token)
    known = f", {taken.known:,} were known already" if taken.known else ""
    if taken.other:
        known += f", {taken.other:,} of them with other figures (what was kept first stays; was the clock set back?)"
    words = estimates_refresh_some(because=f"readings of {sensor.name}") if taken.new else ""
    messages.success(request, f"{taken.new:,} new readings are kept{known}. {words}")
    return redirect("yard:sensor-page", pk=sensor.pk)


def _look(
    request: HttpRequest, sensor: Sensor, token: str, form: SensorColumnsForm, name: str, *,
    preview: SensorPreview | None = None, status: int = 200,
) -> HttpResponse:  # fmt: skip
    context = {"sensor": sensor, "token": token, "form": form, "file_name": name, "preview": preview}
    return render(request, "yard/sensor_columns.html", context, status=status)

"""The yard's weather: place, where its days come from, the last year, and the files that were read."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from yard.forms.weather_forms import WeatherDaysForm
from yard.models import Sensor, WeatherFile
from yard.services.stale_estimates import estimates_refresh_some
from yard.services.weather import NoPlaceError, yard_climate
from yard.services.weather_days import weather_shown
from yard.services.weather_files import usual_year_drop, weather_file_remove
from yard.shown_units import shown
from yard.wood.ranges import OutsideRange

SHOWN_FILES = 50


def weather(request: HttpRequest) -> HttpResponse:
    """The page; a fixed number of queries."""
    form = WeatherDaysForm(request.GET or None)
    until = form.cleaned_data["until"] if form.is_bound and form.is_valid() else None
    context = {
        "form": form,
        "files": WeatherFile.objects.select_related("by").order_by("-id")[:SHOWN_FILES],
        "sensors": Sensor.objects.filter(retired_on__isnull=True).order_by("-is_outdoor", "name"),
    }
    try:
        found = weather_shown(yard=request.yard, today=timezone.localdate(), until=until)
        chart = found.chart(request.yard, shown().metric)
        context |= {"shown": found, "climate": yard_climate(request.yard), "chart": chart}
    except (NoPlaceError, OutsideRange) as error:
        context["why_not"] = str(error)
    return render(request, "yard/weather.html", context, status=422 if form.errors else 200)


def weather_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a file away; the days under it come back."""
    file = get_object_or_404(WeatherFile, pk=pk)
    weather_file_remove(file=file, by=request.user)
    words = estimates_refresh_some(because=f"weather file removed by {request.user}")
    messages.success(request, f"{file.name} is taken away; its days come from older files or the usual year. {words}")
    return redirect("yard:weather")


def weather_usual_drop(request: HttpRequest) -> HttpResponse:
    """Back to the built-in usual year."""
    usual_year_drop(by=request.user)
    words = estimates_refresh_some(because=f"usual year changed by {request.user}")
    messages.success(request, f"The usual year is the built-in one again. {words}")
    return redirect("yard:weather")

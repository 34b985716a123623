"""Reading weather files: choose, look at what they give, keep them as days or as the usual year."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yard.forms.weather_forms import WeatherFilesForm
from yard.services.incoming_files import (
    IncomingGone,
    IncomingTooLarge,
    incoming_drop,
    incoming_keep,
    incoming_read,
)
from yard.services.refused import Refused
from yard.services.stale_estimates import estimates_refresh_some
from yard.services.weather_files import usual_year_keep, weather_file_keep
from yard.services.weather_preview import WeatherPreview, weather_preview
from yard.wood.weather.weather_file import CannotReadWeather


def weather_read(request: HttpRequest) -> HttpResponse:
    """Choose files; they are looked at on the next page."""
    form = WeatherFilesForm(request.POST, request.FILES) if request.method == "POST" else WeatherFilesForm()
    if request.method == "POST" and form.is_valid():
        try:
            files = [(one.name, one.read()) for one in form.cleaned_data["files"]]
            token = incoming_keep(files=files, by=request.user)
            preview = weather_preview(files=files, yard=request.yard)
        except (IncomingTooLarge, CannotReadWeather) as error:
            form.add_error("files", str(error))
        else:
            return _look(request, preview, token)
    return render(request, "yard/weather_read.html", {"form": form}, status=422 if form.errors else 200)


def weather_keep(request: HttpRequest) -> HttpResponse:
    """Keep what was looked at: its days, or its months as the usual year."""
    token = request.POST.get("token", "")
    try:
        preview = weather_preview(files=incoming_read(token=token, by=request.user), yard=request.yard)
    except (IncomingGone, CannotReadWeather) as error:
        messages.error(request, str(error))
        return redirect("yard:weather-read")
    try:
        words = _kept(request, preview)
    except Refused as error:
        return _look(request, preview, token, refused=str(error), status=422)
    incoming_drop(token=token)
    messages.success(request, words)
    return redirect("yard:weather")


def _kept(request: HttpRequest, preview: WeatherPreview) -> str:
    if request.POST.get("do") == "usual":
        usual_year_keep(preview=preview, by=request.user)
        said = f"The usual year is that of {preview.name} from now on."
    else:
        file = weather_file_keep(preview=preview, by=request.user)
        said = f"{file.days_read} days of {preview.name} are the yard's weather now."
    return f"{said} {estimates_refresh_some(because=f'weather file read by {request.user}')}"


def _look(
    request: HttpRequest, preview: WeatherPreview, token: str, *, refused: str = "", status: int = 200
) -> HttpResponse:
    context: dict[str, Any] = {"preview": preview, "token": token, "refused": refused}
    return render(request, "yard/weather_look.html", context, status=status)

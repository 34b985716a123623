"""The tokens by which a sensor's readings come in: made, shown once, revoked."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from yard.forms.reading_token_form import ReadingTokenForm
from yard.forms.service_errors import add_refusal
from yard.models import ReadingToken, Sensor
from yard.services.reading_tokens import reading_token_make, reading_token_revoke


def sensor_tokens(request: HttpRequest, pk: int) -> HttpResponse:
    """The list; posted, a new token. Its secret is shown on this answer alone, since it is kept nowhere."""
    sensor = get_object_or_404(Sensor, pk=pk)
    form = ReadingTokenForm(request.POST or None, sensor=sensor)
    secret = ""
    if request.method == "POST" and form.is_valid():
        try:
            _, secret = reading_token_make(by=request.user, **form.values())
        except ValidationError as error:
            add_refusal(form, error)
        else:
            form = ReadingTokenForm(sensor=sensor)
    tokens = sensor.reading_tokens.select_related("made_by", "revoked_by").prefetch_related("sensors")
    context = {
        "sensor": sensor, "form": form, "secret": secret, "tokens": tokens,
        "address": request.build_absolute_uri(reverse("yard:api-readings")),
    }  # fmt: skip
    return render(request, "yard/sensor_tokens.html", context, status=422 if form.errors else 200)


def sensor_token_revoke(request: HttpRequest, pk: int, token_pk: int) -> HttpResponse:
    """Let nothing more in by a token."""
    sensor = get_object_or_404(Sensor, pk=pk)
    token = get_object_or_404(ReadingToken, pk=token_pk, sensors=sensor)
    reading_token_revoke(token=token, by=request.user)
    messages.success(request, f"The token of {token.name} lets nothing in any more; what it sent stays.")
    return redirect("yard:sensor-tokens", pk=sensor.pk)

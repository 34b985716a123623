"""How sensors send their readings: a page to read, and the same for programs."""

import json

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from yard.forms.posted_readings import AHEAD, MOST_BYTES, MOST_READINGS
from yard.models import Sensor
from yard.services.api_document import api_document


def api_page(request: HttpRequest) -> HttpResponse:
    """The description in words, with examples that carry this yard's address and one of its sensors."""
    document = api_document(server=request.build_absolute_uri("/").rstrip("/"))
    schemas = document["components"]["schemas"]
    sensor = Sensor.objects.filter(retired_on__isnull=True).order_by("pk").first()
    now = timezone.localtime().replace(microsecond=0).isoformat()
    example = {"time": now, "temp_f": 92.5, "rh_pct": 61}
    named = {"sensor": sensor.code if sensor else "K7MPQ2"} | example
    context = {
        "address": request.build_absolute_uri(reverse("yard:api-readings")),
        "fields": schemas["Reading"]["properties"],
        "answer": schemas["Answer"]["properties"],
        "answers": document["paths"]["/api/readings/"]["post"]["responses"],
        "one": json.dumps(example),
        "many": json.dumps({"readings": [named, named | {"time": 1762200000}]}),
        "most_mb": MOST_BYTES // 1024**2,
        "most_readings": f"{MOST_READINGS:,}",
        "ahead_min": AHEAD.seconds // 60,
    }
    return render(request, "yard/api_page.html", context)


def api_openapi(request: HttpRequest) -> JsonResponse:
    """The OpenAPI document."""
    document = api_document(server=request.build_absolute_uri("/").rstrip("/"))
    return JsonResponse(document, json_dumps_params={"indent": 1, "ensure_ascii": False})

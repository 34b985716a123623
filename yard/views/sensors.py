"""Sensors: the list."""

from django.db.models import Count, Max, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard.models import Sensor


def sensors(request: HttpRequest) -> HttpResponse:
    """All sensors, those in use first, with their newest day and where they hang."""
    rows = Sensor.objects.annotate(
        last_day=Max("days__day"), bay_count=Count("bays", filter=Q(bays__air="sensor"), distinct=True)
    )
    return render(request, "yard/sensors.html", {"sensors": rows.order_by("retired_on", "-is_outdoor", "name")})

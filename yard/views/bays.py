"""The list of bays."""

from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard.models import Bay


def bays(request: HttpRequest) -> HttpResponse:
    """All bays, those in use first, with what stands there."""
    counted = Count("stacks_now", filter=Q(stacks_now__taken_down_at__isnull=True))
    rows = Bay.objects.annotate(standing=counted).select_related("sensor").order_by("closed_on", "name")
    rows = sorted(rows, key=lambda bay: bay.closed_on is not None)
    return render(request, "yard/bays.html", {"bays": rows})

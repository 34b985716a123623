"""The list of kilns."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kilns.models import Kiln


def kilns(request: HttpRequest) -> HttpResponse:
    """All kilns, those in use first, with the run that goes on in each."""
    rows = Kiln.objects.select_related("bay").prefetch_related("runs").order_by("name")
    listed = sorted(rows, key=lambda kiln: kiln.closed_on is not None)
    return render(request, "kilns/kilns.html", {"kilns": listed})

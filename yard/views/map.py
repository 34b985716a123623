"""The yard as drawn, and the same as a list."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard.services.yard_map import yard_map


def map_page(request: HttpRequest) -> HttpResponse:
    """Bays where they lie, with their stacks; a tap opens one."""
    return render(request, "yard/map.html", {"map": yard_map()})

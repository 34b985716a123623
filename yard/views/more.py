"""All ways through the pages, for a phone that has room for five tabs."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def more(request: HttpRequest) -> HttpResponse:
    """Every page this person may open, in groups (they come with the page context)."""
    return render(request, "yard/more.html")

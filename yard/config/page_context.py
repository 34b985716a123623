"""What every page's template knows."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from yard import nav
from yard.shown_units import shown


def page_context(request: HttpRequest) -> dict[str, Any]:
    """The yard, the person's theme and units, and the ways to other pages."""
    person = getattr(request, "user", None)
    return {
        "yard": getattr(request, "yard", None),
        "theme": getattr(person, "theme", ""),
        "metric": shown().metric,
        "is_demo": settings.MODE == "demo",
        "tab_ways": nav.tabs(person, request.path),
        "side_groups": nav.groups(person, request.path),
    }

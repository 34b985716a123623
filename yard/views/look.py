"""All parts of pages on one page, for whoever builds one; only in development."""

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from yard.wood.working import work_out


def look(request: HttpRequest) -> HttpResponse:
    """The parts of "The look" in DEVELOPERS.md, each as it stands there."""
    if not settings.DEBUG:
        raise Http404
    if request.method == "POST":
        messages.success(request, "The form was sent.")
    example = work_out(
        "Footage",
        "thickness [in] × width [in] × length [ft] / 12",
        lambda thickness_in, width_in, length_ft: thickness_in * width_in * length_ft / 12,
        {
            "thickness_in": (2.0, "thickness", "in"),
            "width_in": (10.0, "width", "in"),
            "length_ft": (9.0, "length", "ft"),
        },
        "bf",
        "MN-239.33",
    )
    return render(request, "yard/look.html", {"working": example})

"""The first page: what to do today, what goes wrong, what is ready."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from yard import access
from yard.services.today_list import today_list


def today(request: HttpRequest) -> HttpResponse:
    """Today; an owner of a yard that is not set up yet is led there first."""
    if request.yard.set_up_at is None and access.may(request.user, "yard:set-up"):
        return redirect("yard:set-up")
    found = today_list(yard=request.yard, today=timezone.localdate())
    return render(request, "yard/today.html", {"found": found})

"""Coming and going: log in by name, log out, and what a person reads who guessed too often."""

import math
from typing import Any

from axes.models import AccessAttempt
from django.conf import settings
from django.contrib.auth import login as start_session
from django.contrib.auth import logout as end_session
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters

from yard.forms.login import LoginForm
from yard.models import Person


@sensitive_post_parameters("password")
def login(request: HttpRequest) -> HttpResponse:
    """Ask for name and password; then on to where the person was going."""
    onward = _onward(request)
    if request.user.is_authenticated and request.method == "GET":
        return redirect(onward)
    form = LoginForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        start_session(request, form.get_user())
        return redirect(onward)
    nobody_yet = not Person.objects.exists()
    status = 422 if form.errors else 200
    return render(request, "yard/login.html", {"form": form, "next": onward, "nobody_yet": nobody_yet}, status=status)


def logout(request: HttpRequest) -> HttpResponse:
    """End the session on this device."""
    end_session(request)
    return redirect("yard:login")


def locked_out(request: HttpRequest, response: Any = None, credentials: Any = None) -> HttpResponse:
    """Too many wrong passwords: say how long to wait. The form is there again for when the time is up."""
    minutes = minutes_to_wait((credentials or {}).get("username", ""))
    form = LoginForm(request)
    page = {"form": form, "next": _onward(request), "wait_minutes": minutes}
    return render(request, "yard/login.html", page, status=429)


def minutes_to_wait(username: str) -> int:
    """Minutes until the newest failed attempt for this name has cooled off, at least one."""
    newest = AccessAttempt.objects.filter(username__iexact=username).order_by("-attempt_time").first()
    since = newest.attempt_time if newest else timezone.now()
    left = since + settings.AXES_COOLOFF_TIME - timezone.now()
    return max(1, math.ceil(left.total_seconds() / 60))


def _onward(request: HttpRequest) -> str:
    asked = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(asked, {request.get_host()}, require_https=request.is_secure())
    return asked if safe else resolve_url("yard:today")

"""What happens around every request: the yard's time zone and units, the permission table, private pages."""

import zoneinfo
from collections.abc import Callable

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import resolve_url
from django.utils import timezone
from django.utils.cache import patch_cache_control, patch_vary_headers
from django.utils.http import urlencode
from django_htmx.http import HttpResponseClientRedirect

from yard import access
from yard.services.yard_settings import the_yard
from yard.shown_units import showing

Respond = Callable[[HttpRequest], HttpResponse]


class PrivatePages:
    """Pages are one person's: caches keep none of them, and a fragment is never taken for its page."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        patch_vary_headers(response, ["HX-Request"])
        if "Cache-Control" not in response:
            # Asked again each time, but not "no-store": going back must bring back what was typed.
            patch_cache_control(response, private=True, no_cache=True, must_revalidate=True)
        response.setdefault("Permissions-Policy", "camera=(self), geolocation=(self), microphone=(), payment=()")
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        return response


class YardNow:
    """Sets `request.yard`, and shows times in the yard's zone and quantities in the person's units."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.yard = the_yard()
        units = getattr(request.user, "units", "") or request.yard.units
        zone = zoneinfo.ZoneInfo(request.yard.time_zone)
        with timezone.override(zone), showing(units, request.yard.currency):
            return self.get_response(request)


class AccessTable:
    """Asks the permission table before any view runs."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        allowed = access.methods(request.resolver_match.view_name)
        if access.may(request.user, request.resolver_match.view_name, request.method):
            return None
        if not allowed:
            raise PermissionDenied("This address has no row in the permission table.")
        if request.method not in allowed:
            return HttpResponseNotAllowed(sorted(allowed))
        if access.role_of(request.user) == access.STRANGER:
            return ask_to_log_in(request)
        raise PermissionDenied("Your role does not include this. The yard's owner can change that.")


def ask_to_log_in(request: HttpRequest) -> HttpResponse:
    """Send a stranger to the log-in page and back; htmx is told to load that page whole."""
    if not request.htmx:
        back = request.get_full_path() if request.method in ("GET", "HEAD") else "/"
        return redirect_to_login(back)
    back = request.htmx.current_url_abs_path or "/"
    return HttpResponseClientRedirect(f"{resolve_url('yard:login')}?{urlencode({'next': back})}")

"""The phone's own page, kept on the phone by a service worker, and what it asks of the server."""

import hashlib
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.template.loader import render_to_string
from django.templatetags.static import static

from yard import access
from yard.services.phone_pack import phone_pack as pack
from yard.services.round import round_today

STYLES = ("css/tokens.css", "css/base.css", "css/components.css", "css/forms.css", "css/weigh.css", "css/phone.css")
SCRIPTS = (
    "js/phone_store.js", "js/phone_send.js", "js/phone_parts.js", "js/phone_weigh.js", "js/phone_tally.js",
    "js/phone_waiting.js", "js/phone.js",
)  # fmt: skip
IN_WORKER = SCRIPTS[:2]
ICONS = ("img/mark.svg", "img/phone-192.png", "img/phone-512.png", "img/phone-maskable-512.png")


def phone(request: HttpRequest) -> HttpResponse:
    """The page itself: the same for everybody, since the phone keeps it; what it shows comes from the phone."""
    return render(request, "yard/phone.html", {"styles": STYLES, "scripts": SCRIPTS})


def phone_round(request: HttpRequest) -> HttpResponse:
    """The round as a plain page, for the desk and for phones without scripts."""
    return render(request, "yard/phone_round.html", {"round": round_today()})


def phone_pack(request: HttpRequest) -> JsonResponse:
    """What the phone takes along."""
    return JsonResponse(pack(person=request.user, yard=request.yard))


def phone_session(request: HttpRequest) -> JsonResponse:
    """Who is logged in on this phone, the token to send with, and whether this person may write things down."""
    person = request.user if access.role_of(request.user) != access.STRANGER else None
    return JsonResponse(
        {
            "person": {"id": person.pk, "name": str(person)} if person else None,
            "may": access.may(request.user, "yard:phone-records", "POST"),
            "csrf": get_token(request),
        }
    )


def phone_worker(request: HttpRequest) -> HttpResponse:
    """The service worker, served at the root so that it answers for every page; asked for anew each time."""
    context = {
        "version": assets_version(), "assets": [static(name) for name in (*STYLES, *SCRIPTS, *ICONS)],
        "in_worker": [static(name) for name in IN_WORKER],
    }  # fmt: skip
    response = HttpResponse(render_to_string("yard/phone_worker.js", context), content_type="text/javascript")
    response["Service-Worker-Allowed"] = "/"
    response["Cache-Control"] = "no-cache"
    return response


def phone_manifest(request: HttpRequest) -> JsonResponse:
    """What the home screen shows."""
    icons: list[dict[str, Any]] = [
        {"src": static("img/phone-192.png"), "sizes": "192x192", "type": "image/png"},
        {"src": static("img/phone-512.png"), "sizes": "512x512", "type": "image/png"},
        {"src": static("img/phone-maskable-512.png"), "sizes": "512x512", "type": "image/png", "purpose": "maskable"},
    ]
    manifest = {
        "id": "/phone/", "name": f"{request.yard.name} · Slabwright", "short_name": request.yard.name[:12],
        "start_url": "/phone/", "scope": "/", "display": "standalone", "background_color": "#f5f3ee",
        "theme_color": "#0b4f43", "icons": icons,
    }  # fmt: skip
    response = JsonResponse(manifest, content_type="application/manifest+json")
    response["Cache-Control"] = "no-cache"
    return response


def assets_version() -> str:
    """Changes whenever anything that the phone keeps changes."""
    digest = hashlib.sha256()
    template = settings.BASE_DIR / "templates" / "yard"
    paths = [finders.find(name) for name in (*STYLES, *SCRIPTS, *ICONS)]
    for path in (*paths, template / "phone.html", template / "phone_worker.js"):
        with open(path, "rb") as file:
            digest.update(file.read())
    return digest.hexdigest()[:12]

"""The short address under a QR code, and the box in which a code or a tag is typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from yard import access
from yard.forms.label_form import FindForm
from yard.services.labels import Found, find, find_by_code


def code(request: HttpRequest, text: str) -> HttpResponse:
    """On to the page of whatever carries this code."""
    found = find_by_code(text)
    if found is None:
        context = {"form": FindForm(initial={"q": text}), "asked": text, "found": []}
        return render(request, "yard/code_find.html", context, status=404)
    return redirect(_scanned(request, found))


def _scanned(request: HttpRequest, found: Found) -> str:
    """Who scans a slab that is a sample has come to weigh it; all else opens its own page."""
    is_slab = found.kind.noun == "slab" and access.may(request.user, "yard:weigh-sample", "POST")
    if is_slab and found.thing.samples.filter(retired_at__isnull=True).exists():
        return reverse("yard:weigh-sample", args=[found.thing.code])
    return found.href


def code_find(request: HttpRequest) -> HttpResponse:
    """Find a thing by its code or tag; a single one opens at once."""
    asked = request.GET.get("q", "").strip()[:200]
    found = find(asked)
    if len(found) == 1:
        return redirect(found[0].href)
    form = FindForm(initial={"q": asked})
    return render(request, "yard/code_find.html", {"form": form, "asked": asked, "found": found})

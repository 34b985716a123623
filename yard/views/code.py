"""The short address under a QR code, and the box in which a code or a tag is typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yard.forms.label_form import FindForm
from yard.services.labels import find, find_by_code


def code(request: HttpRequest, text: str) -> HttpResponse:
    """On to the page of whatever carries this code."""
    found = find_by_code(text)
    if found is None:
        context = {"form": FindForm(initial={"q": text}), "asked": text, "found": []}
        return render(request, "yard/code_find.html", context, status=404)
    return redirect(found.href)


def code_find(request: HttpRequest) -> HttpResponse:
    """Find a thing by its code or tag; a single one opens at once."""
    asked = request.GET.get("q", "").strip()[:200]
    found = find(asked)
    if len(found) == 1:
        return redirect(found[0].href)
    form = FindForm(initial={"q": asked})
    return render(request, "yard/code_find.html", {"form": form, "asked": asked, "found": found})

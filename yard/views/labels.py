"""Labels: choose what and how large, and print it as PDF."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from yard.forms.label_form import USUAL_SIZES, LabelForm
from yard.services.label_kinds import KINDS
from yard.services.labels import NothingToPrint, label_url, labels_print, only_this_machine, things_chosen
from yard.shown_units import shown

SIZE_COOKIE = "slabwright_label_size"
NAMED = 12


def labels(request: HttpRequest) -> HttpResponse:
    """The choices; what a list sent here is counted and named."""
    asked = request.GET.dict()
    usual = request.COOKIES.get(SIZE_COOKIE, "") or USUAL_SIZES[shown().units]
    form = LabelForm({"noun": "slab", "size": usual, "copies": 1, "first_place": 1} | asked)
    form.is_valid()
    form.errors.pop("size", None)
    return _chosen(request, form, 200)


def labels_pdf(request: HttpRequest) -> HttpResponse:
    """The PDF, opened in the browser to print; the size is remembered on this device."""
    form = LabelForm(request.GET)
    if not form.is_valid():
        return _chosen(request, form, 422)
    try:
        pdf = labels_print(
            noun=form.cleaned_data["noun"], things=_things(form), base=label_base(request), **form.printing()
        )
    except NothingToPrint as error:
        form.add_error("typed", str(error))
        return _chosen(request, form, 422)
    name = f"labels-{form.cleaned_data['noun']}-{timezone.localtime():%Y%m%d-%H%M}.pdf"
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response.set_cookie(SIZE_COOKIE, form.cleaned_data["size"], max_age=settings.SESSION_COOKIE_AGE, samesite="Lax")
    return response


def label_base(request: HttpRequest) -> str:
    """The address that labels lead to: the yard's own as set, or the one that this page was opened at."""
    return settings.PUBLIC_URL or request.build_absolute_uri("/")


def _things(form: LabelForm) -> list[Any]:
    data = form.cleaned_data
    stack = data.get("stack")
    return things_chosen(
        data["noun"],
        ids=data.get("ids") or (),
        log=data.get("log"),
        stack_id=stack.pk if stack else None,
        typed=data.get("typed") or (),
    )


def _chosen(request: HttpRequest, form: LabelForm, status: int) -> HttpResponse:
    data = getattr(form, "cleaned_data", {})
    try:
        things = _things(form) if data.get("noun") else []
    except NothingToPrint:
        things = []
    kind = KINDS.get(data.get("noun", ""), KINDS["slab"])
    from_list = bool(data.get("ids") or data.get("log") or data.get("stack"))
    tags = [str(getattr(thing, kind.tag_field)) for thing in things]
    base = label_base(request)
    context = {
        "form": form, "kind": kind, "things": things, "from_list": from_list,
        "tags": ", ".join(tags[:NAMED]), "more": max(0, len(tags) - NAMED),
        "example": label_url(base, things[0].code if things else "K7M2QX"),
        "only_here": only_this_machine(base),
    }  # fmt: skip
    return render(request, "yard/labels.html", context, status=status)

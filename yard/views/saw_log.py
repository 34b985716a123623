"""The saw: one screen for a log on the mill, a row a slab in sawing order."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.saw_form import KerfForm, SawForm, SawSizesForm, first_row
from yard.models import Log, Slab
from yard.services.refused import Refused
from yard.services.saw_yield import saw_yield, slabs_of_log
from yard.services.sawing import saw_add, saw_repeat
from yard.services.slab_fits import refuse_unless_fits
from yard.services.slab_sizes import sizes_set
from yard.services.slab_workings import slab_workings, stations_in_words
from yard.shown_units import shown
from yard.wood.ranges import OutsideRange

# Thicknesses and board widths offered as buttons: what is sawn most (common practice, no source).
THICKNESSES = {"imperial": ["4/4", "5/4", "6/4", "8/4", "10/4", "12/4"], "metric": ["27", "34", "41", "54", "65", "80"]}
BOARD_WIDTHS = {"imperial": range(4, 15), "metric": (10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30)}
# Keys for a gloved thumb instead of the phone's own keyboard.
PAD_KEYS = {
    "imperial": ["7", "8", "9", "½", "4", "5", "6", "¼", "1", "2", "3", "¾", ".", "0", "back", "next"],
    "metric": ["7", "8", "9", "back", "4", "5", "6", ".", "1", "2", "3", "0", "next"],
}
FIELD_NAMES = {"widths": "widths_in", "thickness": "thickness_in", "length": "length_in"}


def saw_log(request: HttpRequest, pk: int) -> HttpResponse:
    """The rows so far and an empty one; a POST adds it, or one more like the last."""
    log = get_object_or_404(Log.objects.select_related("owner"), pk=pk)
    if request.method == "GET":
        return saw_sheet(request, log)
    if "repeat" in request.POST:
        return _repeat(request, log)
    form = SawForm(request.POST)
    if form.is_valid():
        slab = _added(request, log, form)
        if slab is not None:
            return saw_done(request, log, f"{slab.tag} is written down.", slab)
    return saw_sheet(request, log, form=form, status=422)


def saw_check(request: HttpRequest, pk: int) -> HttpResponse:
    """What the row being typed comes to, before it is saved."""
    log = get_object_or_404(Log, pk=pk)
    form = SawSizesForm(request.GET)
    context: dict[str, Any] = {"log": log, "trial": None, "hints": []}
    if form.is_valid():
        context |= _trial(log, form)
    else:
        typed = {name for name in form.errors if str(request.GET.get(name, "")).strip()}
        context["hints"] = [(form[name].label, " ".join(form.errors[name])) for name in sorted(typed)]
    return render(request, "yard/saw_log.html#check", context)


def saw_sheet(
    request: HttpRequest,
    log: Log,
    *,
    form: SawForm | None = None,
    words: str = "",
    added: Slab | None = None,
    status: int = 200,
    refused: str = "",
) -> HttpResponse:
    """The saw page, or with htmx only its sheet; `words` say what was just done."""
    log = Log.objects.select_related("owner").get(pk=log.pk)
    slabs = list(slabs_of_log(log))
    last = slabs[-1] if slabs else None
    units = shown().units
    context = {
        "log": log, "slabs": slabs, "last": last, "sawn": saw_yield(log, slabs), "words": words, "added": added,
        "form": form or SawForm(initial=first_row(log, last) | {"client_key": uuid.uuid4()}),
        "is_fresh": form is None, "refused": refused, "thicknesses": THICKNESSES[units],
        "board_widths": BOARD_WIDTHS[units], "pad_keys": PAD_KEYS[units],
        "repeat_key": uuid.uuid4(), "kerf_form": KerfForm(initial={"kerf_in": log.kerf_in}),
    }  # fmt: skip
    template = "yard/saw_log.html#sheet" if request.htmx else "yard/saw_log.html"
    return render(request, template, context, status=status)


def saw_done(request: HttpRequest, log: Log, words: str, slab: Slab | None = None) -> HttpResponse:
    """After a step: the fresh sheet for htmx; without it, the page anew."""
    if request.htmx:
        return saw_sheet(request, log, words=words, added=slab)
    messages.success(request, words)
    return redirect("yard:saw-log", pk=log.pk)


def put_error(form: Any, error: Refused | OutsideRange) -> None:
    """Put what the service refused beside the field that it is about."""
    field = getattr(error, "field", "")
    if isinstance(error, OutsideRange):
        field = next((name for word, name in FIELD_NAMES.items() if word in error.what), "widths_in")
    form.add_error(field if field in form.fields else None, ValidationError(str(error)))


def _added(request: HttpRequest, log: Log, form: SawForm) -> Slab | None:
    data = form.cleaned_data
    try:
        return saw_add(
            by=request.user, log=log, client_key=data["client_key"], fields=form.values(), matched=data["matched"]
        )
    except (Refused, OutsideRange) as error:
        put_error(form, error)
        return None


def _repeat(request: HttpRequest, log: Log) -> HttpResponse:
    try:
        key = uuid.UUID(request.POST.get("repeat_key", ""))
        slab = saw_repeat(by=request.user, log=log, client_key=key)
    except ValueError as error:
        words = str(error) if isinstance(error, Refused) else "Press the button once more."
        return saw_sheet(request, log, status=422, refused=words)
    return saw_done(request, log, f"{slab.tag} is written down, like the one before.", slab)


def _trial(log: Log, form: SawSizesForm) -> dict[str, Any]:
    """The figures of a slab that is not saved, or what is wrong with it."""
    values = form.sizes()
    slab = Slab(log=log, count=1, **({"quarters": 0} | values))
    try:
        sizes_set(slab, quarters_given="quarters" in values)
        refuse_unless_fits(slab)
    except (Refused, OutsideRange) as error:
        return {"hints": [("Mind", str(error))]}
    words = f"{slab.count} boards" if slab.tally else stations_in_words(len(slab.widths_in), slab.length_in)
    return {"trial": slab, "stations": words, "workings": slab_workings(slab)}

"""What the weigh pages have in common: the thing on the label, the scale's unit, and what a record changed."""

import uuid
from collections.abc import Callable
from typing import Any, TypeVar

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from yard.forms.weigh_forms import RecordForm, usual_scale_unit
from yard.models import MeterReading, OvenSection, Record, StackWeighing, Weighing
from yard.services.record_answer import cohorts_of, estimates_after
from yard.services.weigh_subject import NoSuchThing, WeighSubject, weigh_subject
from yard.shown_units import showing, shown

RECORDS: dict[str, type[Record]] = {
    "weighing": Weighing, "section": OvenSection, "reading": MeterReading, "stack-weighing": StackWeighing,
}  # fmt: skip
UNIT_COOKIE, BENCH_COOKIE = "slabwright_scale", "slabwright_bench_scale"
F = TypeVar("F", bound=RecordForm)


def subject_or_404(code: str) -> WeighSubject:
    try:
        return weigh_subject(code)
    except NoSuchThing:
        raise Http404("No sample, slab or stack carries this code.") from None


def usual_unit(request: HttpRequest) -> str:
    """The unit of the scale that was used last on this device."""
    kept = request.COOKIES.get(UNIT_COOKIE, "")
    return kept if kept in ("lb", "kg") else usual_scale_unit()


def usual_bench_unit(request: HttpRequest) -> str:
    """The unit of the small scale for sections."""
    kept = request.COOKIES.get(BENCH_COOKIE, "")
    return kept if kept in ("g", "oz", "kg", "lb") else "g"


def fresh_form(kind: Callable[..., F], request: HttpRequest, initial: dict[str, Any], **more: Any) -> F:
    """The form as sent, or an empty one with a key of its own."""
    if request.method == "POST":
        return kind(request.POST, initial=initial, **more)
    return kind(initial={"client_key": uuid.uuid4(), **initial}, **more)


def in_scale_units(request: HttpRequest, form: RecordForm, page: Callable[[], HttpResponse]) -> HttpResponse:
    """Weights of the page in the unit of the scale, whatever else the person reads."""
    unit = form["unit"].value() if "unit" in form.fields else usual_unit(request)
    with showing("metric" if unit == "kg" else "imperial", shown().currency):
        return page()


def kept_response(
    request: HttpRequest, record: Record, kind: str, *, unit: str = "", bench_unit: str = ""
) -> HttpResponse:
    """Make the estimates anew, remember the units of the scales, and go on to what the record changed."""
    words = estimates_after(cohorts=cohorts_of(record), because=f"{kind.replace('-', ' ')} by {request.user}")
    response = redirect("yard:weigh-kept", kind=kind, pk=record.pk)
    if words:
        response["Location"] += "?estimate=none"
    remember_units(response, unit=unit, bench_unit=bench_unit)
    return response


def remember_units(response: HttpResponse, *, unit: str = "", bench_unit: str = "") -> None:
    """Keep on this device which units its scales show."""
    for name, value in ((UNIT_COOKIE, unit), (BENCH_COOKIE, bench_unit)):
        if value:
            response.set_cookie(name, value, max_age=settings.SESSION_COOKIE_AGE, samesite="Lax", httponly=True)

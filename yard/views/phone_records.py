"""Where phones send what was written down without signal: a batch in, an answer for each record out."""

import json
import logging
from typing import Any

from django.core.exceptions import ValidationError
from django.db import DatabaseError
from django.http import HttpRequest, JsonResponse
from django.urls import reverse
from django.utils import timezone

from yard.forms.phone_entries import NotUnderstood, read_batch, read_entry, read_key, read_moment
from yard.models import Log, PhoneRecord, Sample, Slab, Stack
from yard.services.phone_answers import phone_answers
from yard.services.phone_records import Arrival, Entry, phone_record_keep
from yard.services.photos import photo_add
from yard.services.weigh_subject import NoSuchThing, weigh_subject
from yard.shown_units import showing, shown
from yard.views.phone_keep import PhoneRefused, keep_entry
from yard.views.weigh_record import remember_units

log = logging.getLogger("yard.phone")

# The page that says what a record of this table changed.
KEPT_PAGES = {
    "weighing": "weighing", "ovensection": "section", "meterreading": "reading", "stackweighing": "stack-weighing",
}  # fmt: skip
SCALE_UNITS = {"lb", "kg", "g", "oz"}
LATER = "The server could not write it down just now. It waits here and is sent again."


def phone_records(request: HttpRequest) -> JsonResponse:
    """Keep each record of a batch in its order; one that is refused does not hold up the others."""
    try:
        raws, sent_at, device = read_batch(json.loads(request.body))
    except (NotUnderstood, ValueError) as error:
        return JsonResponse({"error": f"Not understood: {error}"}, status=400)
    arrival = Arrival(by=request.user, received_at=timezone.now(), sent_at=sent_at, device=device)
    results, receipts = [], []
    for raw in raws:
        result, receipt = _one(request, raw, arrival)
        results.append(result)
        if receipt is not None:
            receipts.append((result, receipt))
        if result["state"] == "later":
            break  # the order stays: what follows waits too
    _say(request, receipts)
    response = JsonResponse({"received_at": arrival.received_at.isoformat(), "results": results})
    for _result, receipt in receipts:
        remember_units(response, unit=_unit(receipt, "unit"), bench_unit=_unit(receipt, "bench_unit"))
    return response


def phone_photo(request: HttpRequest) -> JsonResponse:
    """Keep one photo of a log, a slab, a sample's slab or a stack."""
    try:
        entry = Entry(
            read_key(request.POST.get("key")), "photo", read_moment(request.POST.get("made_at")),
            {"code": request.POST.get("code", "")[:60], "caption": request.POST.get("caption", "")[:120]},
        )  # fmt: skip
        sent_at = read_moment(request.POST.get("sent_at"))
    except NotUnderstood as error:
        return JsonResponse({"error": f"Not understood: {error}"}, status=400)
    arrival = Arrival(by=request.user, received_at=timezone.now(), sent_at=sent_at)

    def keep(moment):
        upload = request.FILES.get("photo")
        if upload is None:
            raise PhoneRefused("The picture is missing: take it once more.", "photo")
        thing = _pictured(str(entry.typed["code"]))
        return photo_add(
            thing=thing, upload=upload, by=request.user, caption=str(entry.typed["caption"]), client_key=entry.key,
            time_zone=request.yard.time_zone,
        )  # fmt: skip

    result, _receipt = _answer(entry, arrival, keep)
    return JsonResponse({"received_at": arrival.received_at.isoformat(), "results": [result]})


def _one(request: HttpRequest, raw: Any, arrival: Arrival) -> tuple[dict[str, Any], PhoneRecord | None]:
    try:
        entry = read_entry(raw)
        if entry.kind == "photo":
            raise NotUnderstood("a photo comes by itself")
        if raw.get("person") not in (None, request.user.pk):
            raise PhoneRefused("Somebody else wrote this down on this phone: it waits until they log in.", "person")
    except NotUnderstood as error:
        key = raw.get("key") if isinstance(raw, dict) else None
        return {"key": key, "state": "refused", "reason": f"Not understood: {error}.", "field": ""}, None
    except PhoneRefused as error:
        return _refused(raw["key"], error), None
    with showing(entry.units, shown().currency):
        return _answer(entry, arrival, lambda moment: keep_entry(request, entry, moment))


def _answer(entry: Entry, arrival: Arrival, keep: Any) -> tuple[dict[str, Any], PhoneRecord | None]:
    key = str(entry.key)
    try:
        receipt, new = phone_record_keep(entry=entry, arrival=arrival, keep=keep)
    except PhoneRefused as error:
        return _refused(key, error), None
    except ValidationError as error:
        return _refused(key, PhoneRefused(" ".join(error.messages))), None
    except (DatabaseError, OSError):
        log.exception("a record of a phone could not be written down; it stays on the phone")
        return {"key": key, "state": "later", "reason": LATER}, None
    return {"key": key, "state": "saved" if new else "known"}, receipt


def _unit(receipt: PhoneRecord, name: str) -> str:
    unit = receipt.sent.get(name, "")
    return unit if unit in SCALE_UNITS else ""


def _refused(key: str, error: PhoneRefused) -> dict[str, Any]:
    return {
        "key": str(key), "state": "refused", "reason": error.reason, "field": error.field,
        "may_confirm": error.may_confirm,
    }  # fmt: skip


def _say(request: HttpRequest, receipts: list[tuple[dict[str, Any], PhoneRecord]]) -> None:
    """What the records changed, once for all of them; kept they are whether or not this can be said."""
    try:
        said = phone_answers([receipt for _, receipt in receipts], because=f"records of {request.user}")
    except (DatabaseError, OSError):
        log.exception("what a phone's records changed could not be worked out; they are kept")
        return
    for result, receipt in receipts:
        result["says"] = said.get(receipt.pk, "")
        if receipt.table in KEPT_PAGES:
            result["href"] = reverse("yard:weigh-kept", args=[KEPT_PAGES[receipt.table], receipt.row_id])


def _pictured(code: str) -> Log | Slab | Stack:
    found = Log.objects.filter(code=code).first()
    if found is not None:
        return found
    try:
        subject = weigh_subject(code)
    except NoSuchThing:
        raise PhoneRefused("Nothing in the yard carries this code any more: look at the label.", "code") from None
    thing = subject.stack if subject.kind == "stack" else subject.slab or subject.stack
    if isinstance(thing, Sample) or thing is None:
        raise PhoneRefused(f"{subject.tag} keeps no photos.", "code")
    return thing

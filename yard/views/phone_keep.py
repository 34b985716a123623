"""How each kind of record from a phone is read and kept: by the same forms and services as on the pages."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Model
from django.http import HttpRequest
from django.utils import timezone

from yard.forms.saw_form import SawForm
from yard.forms.weigh_forms import MeterForm, OvenForm, RecordForm, StackWeightForm, WeightForm
from yard.models import Log
from yard.services.labels import code_clean
from yard.services.phone_records import Entry
from yard.services.refused import Refused
from yard.services.sawing import saw_add
from yard.services.weigh_subject import NoSuchThing, WeighSubject, weigh_subject
from yard.views import weigh_meter, weigh_oven, weigh_sample, weigh_stack
from yard.views.saw_log import put_error
from yard.wood.ranges import OutsideRange


class PhoneRefused(Exception):  # noqa: N818 - reads as the sentence it is
    """The record cannot be kept as it is; it stays on the phone with this reason, to be mended there."""

    def __init__(self, reason: str, field: str = "", may_confirm: bool = False) -> None:
        self.reason, self.field, self.may_confirm = reason, field, may_confirm
        super().__init__(reason)


def keep_entry(request: HttpRequest, entry: Entry, moment: datetime) -> Model:
    """Keep one record as made at `moment`. Errors: PhoneRefused."""
    try:
        return KEEPERS[entry.kind](request, entry, moment)
    except (Refused, OutsideRange) as error:
        raise PhoneRefused(str(error), getattr(error, "field", "")) from error
    except ValidationError as error:
        raise PhoneRefused(" ".join(error.messages)) from error


def _weighing(request: HttpRequest, entry: Entry, moment: datetime) -> Model:
    subject = _subject(entry, "sample", "slab")
    form = WeightForm(_data(entry))
    form.started_on = subject.cohorts[0].started_on
    _ready(form, entry, moment, _weight_text)
    return _kept(form, weigh_sample._kept(request, subject, form))


def _stack_weighing(request: HttpRequest, entry: Entry, moment: datetime) -> Model:
    subject = _subject(entry, "stack")
    form = StackWeightForm(_data(entry))
    form.started_on = min(cohort.started_on for cohort in subject.cohorts)
    _ready(form, entry, moment, _weight_text)
    return _kept(form, weigh_stack._kept(request, subject, form))


def _reading(request: HttpRequest, entry: Entry, moment: datetime) -> Model:
    subject = _subject(entry, "sample", "slab", "stack")
    form = MeterForm(_data(entry), cohorts=subject.cohorts)
    _ready(form, entry, moment, lambda data: f"{data['reading_pct']:g}")
    return _kept(form, weigh_meter._kept(request, subject, form))


def _section(request: HttpRequest, entry: Entry, moment: datetime) -> Model:
    subject = _subject(entry, "sample", "slab", "stack")
    form = OvenForm(_data(entry), cohorts=subject.cohorts, samples=subject.samples)
    _ready(form, entry, moment, lambda data: f"{data['wet_typed'].text}/{data['oven_dry_typed'].text}")
    form.cleaned_data["cut_at"] = moment
    return _kept(form, weigh_oven._kept(request, form))


def _slab(request: HttpRequest, entry: Entry, moment: datetime) -> Model:
    log = Log.objects.filter(code=code_clean(str(entry.typed.get("code", "")))).first()
    if log is None:
        raise PhoneRefused("There is no log with this label any more: look for the log on the page Logs.", "code")
    form = SawForm(_data(entry))
    if not form.is_valid():
        raise _refusal(form)
    day = timezone.localdate(moment)
    fields = form.values() | {"sawn_on": day, "ends_sealed_on": day if form.cleaned_data["sealed"] else None}
    try:
        return saw_add(
            by=request.user, log=log, client_key=entry.key, fields=fields, matched=form.cleaned_data["matched"]
        )
    except (Refused, OutsideRange) as error:
        put_error(form, error)
        raise _refusal(form) from error


KEEPERS: dict[str, Callable[[HttpRequest, Entry, datetime], Model]] = {
    "weighing": _weighing, "stack-weighing": _stack_weighing, "reading": _reading, "section": _section,
    "slab": _slab,
}  # fmt: skip


def _subject(entry: Entry, *kinds: str) -> WeighSubject:
    try:
        subject = weigh_subject(str(entry.typed.get("code", ""))[:200])
    except NoSuchThing:
        raise PhoneRefused("Nothing in the yard carries this code any more: look at the label.", "code") from None
    if subject.why_not:
        raise PhoneRefused(subject.why_not, "code")
    if subject.kind not in kinds:
        raise PhoneRefused(f"{subject.tag} is a {subject.kind}: this cannot be written down for it.", "code")
    return subject


def _data(entry: Entry) -> dict[str, Any]:
    """What was typed as a form takes it; its time is set apart, since the phone's clock may be wrong."""
    typed = {name: value for name, value in entry.typed.items() if name not in ("made_at", "cut_at", "confirmed")}
    return typed | {"client_key": str(entry.key)}


def _ready(form: RecordForm, entry: Entry, moment: datetime, asked: Callable[[dict[str, Any]], str]) -> None:
    """Check the form, with the time of the record; `asked` is the figure that a person may insist on."""
    if not form.is_valid():
        raise _refusal(form)
    form.cleaned_data["made_at"] = form.not_before_the_saw(moment)
    form.cleaned_data["confirmed"] = asked(form.cleaned_data) if entry.typed.get("confirmed") else ""


def _weight_text(data: dict[str, Any]) -> str:
    return data["weight_typed"].text


def _kept(form: RecordForm, record: Model | None) -> Model:
    if record is None:
        raise _refusal(form)
    return record


def _refusal(form: Any) -> PhoneRefused:
    """The first thing that is wrong, and the field to mend."""
    for name, errors in form.errors.items():
        reason = " ".join(errors)
        label = form.fields[name].label if name in form.fields else ""
        if reason == "This field is required.":
            reason = f"{label or name}: type it."
        return PhoneRefused(reason, name if name in form.fields else "", bool(getattr(form, "may_confirm", "")))
    return PhoneRefused("It cannot be kept like this.")

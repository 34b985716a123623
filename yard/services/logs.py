"""Logs: the one module that writes their table."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any, TypedDict, Unpack

from django.db import IntegrityError, transaction
from django.db.models import Value
from django.db.models.functions import Lower
from django.utils import timezone

from yard.models import Contact, Log, LogState, Person, SlabState
from yard.models.base import new_code
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, history_add, snapshot
from yard.services.log_scale import scale_of
from yard.services.refused import LogRefused

__all__ = [
    "ChangedMeanwhile",
    "LogFields",
    "LogRefused",
    "LogTagTaken",
    "log_add",
    "log_change",
    "log_finish_sawing",
    "log_rule_change",
    "log_start_sawing",
    "log_tag_suggest",
    "log_void",
]

SIZE_FIELDS = frozenset({"small_end_in", "large_end_in", "length_ft"})
SERIES = 10_000


class LogTagTaken(LogRefused):
    """Another log has this tag already."""

    def __init__(self, tag: str) -> None:
        self.tag = tag
        super().__init__(f"Another log has the tag {tag}: type another one.", "tag")


class LogFields(TypedDict, total=False):
    """What a person may set on a log: diameters inside bark in inches, length in feet. The rule is apart."""

    tag: str
    species_key: str
    owner: Contact | None
    supplier: Contact | None
    where_from: str
    felled_on: date | None
    arrived_on: date
    small_end_in: float
    large_end_in: float | None
    length_ft: float
    defect_pct: float
    defect_note: str
    cost: Decimal | None
    ends_sealed_on: date | None
    kerf_in: float | None
    note: str


EDITABLE = frozenset(LogFields.__annotations__)


def log_tag_suggest(*, on: date) -> str:
    """The next free tag of the year: 26-14 for the fourteenth log taken in in 2026."""
    start = f"{on:%y}-"
    newest = Log.objects.filter(tag__startswith=start).order_by("-id").values_list("tag", flat=True)[:50]
    numbers = [int(tag[len(start) :]) for tag in newest if tag[len(start) :].isdecimal()]
    number = max(numbers, default=0) + 1
    while log_tag_taken(f"{start}{number}"):
        number += 1
    return f"{start}{number}"


def log_tag_taken(tag: str, but: int | None = None) -> bool:
    """Whether a log other than `but` has this tag; capitals make no difference."""
    rows = Log.objects.alias(low=Lower("tag")).filter(low=Lower(Value(tag.strip())))
    return rows.exclude(pk=but).exists()


@transaction.atomic
def log_add(*, by: Person | None, rule: str, **fields: Unpack[LogFields]) -> Log:
    """Take in a log; `rule` is the ticket's and stays with it. An empty tag takes the next free one.

    Needs species_key, arrived_on, small_end_in and length_ft. Errors: LogTagTaken.
    """
    log = Log(rule=rule, **_only_editable(fields))
    typed = log.tag
    if typed and log_tag_taken(typed):
        raise LogTagTaken(typed)
    _set_scale(log)
    for _ in range(20):  # two people at the gate take the same next tag; then try again
        log.tag = typed or log_tag_suggest(on=log.arrived_on)
        try:
            with transaction.atomic():
                log.save(force_insert=True)
        except IntegrityError:
            if typed and log_tag_taken(typed):
                raise LogTagTaken(typed) from None
            if Log.objects.filter(code=log.code).exists():
                log.code = new_code()  # one in thousands of new codes meets one that is there
            elif not log_tag_taken(log.tag):
                raise
            continue
        history_add(log, by=by, action="added")
        return log
    raise LogTagTaken(log.tag)


@transaction.atomic
def log_change(*, by: Person | None, log: Log, version: int, **fields: Unpack[LogFields]) -> Log:
    """Change a log that the caller saw at `version`; its scale follows its sizes, its slabs follow its owner.

    Errors: ChangedMeanwhile when somebody saved it since; LogTagTaken; LogRefused for a void log.
    """
    row = _locked(log, version)
    if row.state == LogState.VOID:
        raise LogRefused(f"{row.tag} is void: it can no longer be changed.")
    before = snapshot(row, fields)
    for name, value in _only_editable(fields).items():
        setattr(row, name, value)
    changes = changes_between(before, snapshot(row, fields))
    if not changes:
        return row
    if not row.tag:
        raise LogRefused("A log keeps a tag: type one.", "tag")
    if "tag" in changes and log_tag_taken(row.tag, but=row.pk):
        raise LogTagTaken(row.tag)
    if changes.keys() & SIZE_FIELDS:
        _set_scale(row)
    _save(row, by, "changed", changes)
    return row


@transaction.atomic
def log_rule_change(*, by: Person | None, log: Log, version: int, rule: str, reason: str) -> Log:
    """Put a log on another ticket rule, a step of its own with its reason in the history.

    The scale is worked out anew from the sizes; a scale by one rule is never converted into another's.
    """
    row = _locked(log, version)
    if row.state == LogState.VOID:
        raise LogRefused(f"{row.tag} is void: it can no longer be changed.")
    if not reason.strip():
        raise LogRefused("Say why the rule changes, such as “the ticket was misread”.", "reason")
    if rule == row.rule:
        raise LogRefused("The log is on this rule already: choose another, or leave it.", "rule")
    old, row.rule = row.rule, rule
    _set_scale(row)
    _save(row, by, "rule changed", {"rule": [old, rule]}, reason)
    return row


@transaction.atomic
def log_void(*, by: Person | None, log: Log, version: int, reason: str) -> Log:
    """Void a log taken in by mistake; its record stays, its tag is free again.

    Errors: LogRefused without a reason, or while slabs of it stand; ChangedMeanwhile.
    """
    row = _locked(log, version)
    if row.state == LogState.VOID:
        return row
    if not reason.strip():
        raise LogRefused("Say why it is void, in a few words.", "reason")
    slabs = row.slabs.exclude(state=SlabState.VOID).count()
    if slabs:
        were = "slab was" if slabs == 1 else "slabs were"
        them = "it" if slabs == 1 else "them"
        raise LogRefused(f"{slabs} {were} sawn from {row.tag}: make {them} void first, or leave the log.")
    state, tag = row.state, row.tag
    row.tag = _void_tag(tag)
    row.state, row.void_reason = LogState.VOID, reason.strip()[:200]
    _save(row, by, "voided", {"state": [state, LogState.VOID.value], "tag": [tag, row.tag]}, row.void_reason)
    return row


@transaction.atomic
def log_start_sawing(*, by: Person | None, log: Log) -> Log:
    """Put a log on the mill, also one that was called sawn too early; one already there stays as it is."""
    row = _locked(log, None)
    if row.state == LogState.VOID:
        raise LogRefused(f"{row.tag} is void: take it in again before sawing it.")
    if row.state != LogState.ON_MILL:
        changes = {"state": [row.state, LogState.ON_MILL.value]}
        if row.sawn_on:
            changes["sawn_on"] = [str(row.sawn_on), None]
        row.state, row.sawn_on = LogState.ON_MILL, None
        _save(row, by, "on the mill", changes)
    return row


@transaction.atomic
def log_finish_sawing(*, by: Person | None, log: Log, on: date | None = None) -> Log:
    """Call a log sawn. Errors: LogRefused when no slab stands from it."""
    row = _locked(log, None)
    if row.state == LogState.SAWN:
        return row
    if not row.slabs.exclude(state=SlabState.VOID).exists():
        raise LogRefused("No slab is written down yet: add the first, or void the log if it is gone.")
    old, row.state = row.state, LogState.SAWN
    row.sawn_on = on or timezone.localdate()
    _save(row, by, "sawn", {"state": [old, LogState.SAWN.value], "sawn_on": [None, str(row.sawn_on)]})
    return row


def _set_scale(log: Log) -> None:
    """Work out the scale by every rule; a log beyond a rule's table has none by it."""
    scale = scale_of(log.small_end_in, log.large_end_in, log.length_ft)
    log.doyle_bf, log.scribner_bf = scale.doyle_bf, scale.scribner_bf
    log.international_bf, log.cubic_ft3 = scale.international_bf, scale.cubic_ft3


def _locked(log: Log, version: int | None) -> Log:
    row = Log.objects.select_for_update(of=("self",)).get(pk=log.pk)
    if version is not None and row.version != version:
        raise ChangedMeanwhile(row)
    return row


def _save(row: Log, by: Person | None, action: str, changes: Mapping[str, Any], note: str = "") -> None:
    row.version += 1
    row.save()
    history_add(row, by=by, action=action, changes=changes, note=note.strip()[:300])


def _void_tag(tag: str) -> str:
    for number in range(1, SERIES):
        mark = "void" if number == 1 else f"void {number}"
        if not log_tag_taken(f"{tag[:20]} {mark}"):
            return f"{tag[:20]} {mark}"
    raise LogRefused("Too many void logs of this tag.")


def _only_editable(fields: Mapping[str, Any]) -> dict[str, Any]:
    unknown = fields.keys() - EDITABLE
    if unknown:
        raise TypeError(f"not a field that a person sets on a log: {', '.join(sorted(unknown))}")
    return {name: value.strip() if isinstance(value, str) else value for name, value in fields.items()}

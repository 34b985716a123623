"""What a phone sends, read: a batch of records, each with its key, the phone's time and what was typed."""

import uuid
from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from yard.models import Units
from yard.services.phone_records import Entry

SCHEMA = 1  # of the messages; a phone with an older program is still understood
MOST_RECORDS = 200
MOST_CHARACTERS = 4000
KINDS = ("weighing", "stack-weighing", "reading", "section", "slab", "photo")


class NotUnderstood(ValueError):  # noqa: N818 - reads as the sentence it is
    """A message that no phone of ours sends."""


def read_moment(text: Any) -> datetime:
    """A moment as a phone writes it, with its zone."""
    try:
        moment = parse_datetime(text) if isinstance(text, str) else None
    except ValueError:
        moment = None
    if moment is None or timezone.is_naive(moment):
        raise NotUnderstood(f"no moment: {str(text)[:40]!r}")
    if not 1990 <= moment.year <= 2199:
        raise NotUnderstood(f"no moment of this time: {str(text)[:40]!r}")
    return moment


def read_key(text: Any) -> uuid.UUID:
    try:
        return uuid.UUID(str(text))
    except ValueError:
        raise NotUnderstood("no key") from None


def read_entry(raw: Any) -> Entry:
    """One record. Errors: NotUnderstood."""
    if not isinstance(raw, dict):
        raise NotUnderstood("no record")
    kind, typed = raw.get("kind"), raw.get("typed", {})
    if kind not in KINDS:
        raise NotUnderstood("a kind of record that this version does not know")
    if not isinstance(typed, dict) or not all(_plain(value) for value in typed.values()):
        raise NotUnderstood("nothing that was typed")
    number = raw.get("number", 0)
    units = raw.get("units") if raw.get("units") in Units.values else Units.IMPERIAL.value
    return Entry(
        key=read_key(raw.get("key")), kind=kind, made_at=read_moment(raw.get("made_at")),
        typed={str(name)[:40]: value for name, value in typed.items()}, units=units,
        number=number if isinstance(number, int) and 0 <= number < 2**53 else 0,
    )  # fmt: skip


def read_batch(raw: Any) -> tuple[list[Any], datetime, str]:
    """The records of a message, when it was sent by the phone's clock, and from which device."""
    if not isinstance(raw, dict) or not isinstance(raw.get("records"), list):
        raise NotUnderstood("no records")
    if raw.get("schema") != SCHEMA:
        raise NotUnderstood("a message of another version")
    if len(raw["records"]) > MOST_RECORDS:
        raise NotUnderstood(f"more than {MOST_RECORDS} records at once")
    return raw["records"], read_moment(raw.get("sent_at")), str(raw.get("device", ""))[:40]


def _plain(value: Any) -> bool:
    return (
        value is None
        or isinstance(value, (bool, int, float))
        or (isinstance(value, str) and len(value) <= MOST_CHARACTERS)
    )

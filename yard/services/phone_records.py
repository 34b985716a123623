"""What phones wrote down arrives here: each record once, with the phone's clock and the server's."""

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Model

from yard.models import Person, PhoneRecord

# Clocks that differ by less are taken as right: messages take a moment, and minutes do not matter to wood.
CLOCKS_DIFFER = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Entry:
    """One record as it was sent: its key, kind, what was typed, and the phone's time of it."""

    key: uuid.UUID
    kind: str
    made_at: datetime
    typed: Mapping[str, Any] = field(default_factory=dict)
    units: str = "imperial"
    number: int = 0


@dataclass(frozen=True, slots=True)
class Arrival:
    """What came in one request: from which device, when by both clocks, and who is logged in."""

    by: Person
    received_at: datetime
    sent_at: datetime
    device: str = ""

    @property
    def clock_behind(self) -> timedelta:
        """By how much the phone's clock was behind when it sent this; ahead is negative."""
        return self.received_at - self.sent_at

    def moment(self, made_at: datetime) -> datetime:
        """When a record was made by a right clock: never later than it arrived."""
        behind = self.clock_behind
        if abs(behind) > CLOCKS_DIFFER:
            made_at += behind
        return min(made_at, self.received_at)


def phone_record_find(key: uuid.UUID) -> PhoneRecord | None:
    """The receipt of a record that has arrived before."""
    return PhoneRecord.objects.filter(client_key=key).first()


def phone_record_keep(
    *, entry: Entry, arrival: Arrival, keep: Callable[[datetime], Model]
) -> tuple[PhoneRecord, bool]:  # fmt: skip
    """Keep what `keep` writes down, with its receipt, in one transaction; a known key is answered with its receipt.

    Both unique columns decide, the receipt's and the kept row's, so that two requests at one moment make one row.
    """
    known = phone_record_find(entry.key)
    if known is not None:
        return known, False
    try:
        with transaction.atomic():
            row = keep(arrival.moment(entry.made_at))
            receipt = PhoneRecord.objects.create(
                client_key=entry.key, kind=entry.kind, made_at=entry.made_at, received_at=arrival.received_at,
                clock_off_s=arrival.clock_behind.total_seconds(), number=entry.number, device=arrival.device,
                by=arrival.by, table=row._meta.model_name, row_id=row.pk, sent=dict(entry.typed),
            )  # fmt: skip
            return receipt, True
    except IntegrityError:
        known = phone_record_find(entry.key)
        if known is None:
            raise
        return known, False

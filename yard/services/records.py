"""Append-only records: the same one sent twice is one, and a wrong one is voided with a reason."""

import uuid
from typing import Any, TypeVar

from django.db import IntegrityError, transaction
from django.utils import timezone

from yard.models import Person, Record

R = TypeVar("R", bound=Record)


class AlreadyVoidedError(ValueError):
    """The record was voided before; nothing changes."""


def record_once(model: type[R], *, client_key: uuid.UUID | None, **fields: Any) -> tuple[R, bool]:
    """Keep a record and say whether it is new; one with a known client key is answered with the kept row.

    The unique column decides, so two requests at the same moment still make one record.
    """
    if client_key is None:
        client_key = uuid.uuid4()
    kept = model.objects.filter(client_key=client_key).first()
    if kept is not None:
        return kept, False
    try:
        with transaction.atomic():
            return model.objects.create(client_key=client_key, **fields), True
    except IntegrityError:
        kept = model.objects.filter(client_key=client_key).first()
        if kept is None:
            raise
        return kept, False


def record_void(*, record: Record, reason: str, by: Person | None) -> None:
    """Take a record out of the reckoning with a reason; it stays to be seen."""
    if record.voided:
        raise AlreadyVoidedError(f"This was already voided: {record.void_reason}")
    record.voided_at = timezone.now()
    record.voided_by = by
    record.void_reason = reason
    record.save(update_fields=["voided_at", "voided_by", "void_reason"])

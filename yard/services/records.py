"""Append-only records: the same one sent twice is one, and a wrong one is voided with a reason."""

import uuid
from typing import Any, TypeVar

from django.db import IntegrityError, transaction
from django.utils import timezone

from yard.models import Person, Record
from yard.services.history import history_add
from yard.services.refused import Refused

R = TypeVar("R", bound=Record)


class AlreadyVoidedError(Refused):
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


@transaction.atomic
def record_void(*, record: Record, reason: str, by: Person | None) -> None:
    """Take a record out of the reckoning with a reason; it stays to be seen.

    Errors: AlreadyVoidedError, also when somebody else voided it at the same moment; Refused without a reason.
    """
    reason = " ".join(reason.split())
    if not reason:
        raise Refused("Say why it does not count: it stays to be seen with your reason.", "reason")
    voided = {"voided_at": timezone.now(), "voided_by": by, "void_reason": reason[:200]}
    standing = type(record).objects.filter(pk=record.pk, voided_at__isnull=True)
    if not standing.update(**voided):
        record.refresh_from_db()
        raise AlreadyVoidedError(f"This was already voided: {record.void_reason}", "reason")
    for name, value in voided.items():
        setattr(record, name, value)
    history_add(record, by=by, action="voided", note=reason)

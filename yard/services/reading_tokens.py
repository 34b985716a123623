"""Tokens by which readings come in: made, revoked, found, and marked as used. Only this module writes their table."""

import secrets
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from yard.models import Person, ReadingToken, Sensor
from yard.services.history import history_add
from yard.services.people import token_hash

BEGINS = "yard_"  # so that a token is known for one where it lies in a file


class TokenRefused(Exception):  # noqa: N818 - reads as the sentence it is
    """The token lets nothing in: there is none such, or it was revoked."""


@transaction.atomic
def reading_token_make(*, name: str, sensors: Iterable[Sensor], by: Person | None) -> tuple[ReadingToken, str]:
    """Make a token for a sensor or a hub with several. Returns it with its secret, which is kept nowhere.

    Errors: ValidationError without a name, without a sensor, or with a retired one.
    """
    named, secret = list(sensors), BEGINS + secrets.token_urlsafe(32)
    if not named:
        raise ValidationError({"sensors": "Choose at least one sensor."})
    retired = [sensor.name for sensor in named if sensor.retired_on]
    if retired:
        raise ValidationError({"sensors": f"{', '.join(retired)}: retired, so nothing more is taken of it."})
    token = ReadingToken(name=name.strip(), token_hash=token_hash(secret), made_by=by)
    token.clean_fields(exclude=["made_by", "revoked_by"])
    token.save(force_insert=True)
    token.sensors.set(named)
    history_add(token, by=by, action="made", note=f"For {', '.join(sensor.name for sensor in named)}")
    return token, secret


@transaction.atomic
def reading_token_revoke(*, token: ReadingToken, by: Person | None) -> None:
    """Let no more readings in by a token; those that came stay."""
    row = ReadingToken.objects.select_for_update(of=("self",)).get(pk=token.pk)
    if row.revoked_at is None:
        row.revoked_at, row.revoked_by = timezone.now(), by
        row.save(update_fields=["revoked_at", "revoked_by"])
        history_add(row, by=by, action="revoked")


def reading_token_find(secret: str) -> ReadingToken:
    """The token of a secret. Errors: TokenRefused, in words for whoever set the sender up."""
    token = ReadingToken.objects.filter(token_hash=token_hash(secret)).first() if secret else None
    if token is None:
        raise TokenRefused("There is no such token: make one on the sensor's page and copy it whole.")
    if token.revoked_at is not None:
        day = timezone.localtime(token.revoked_at)
        raise TokenRefused(f"This token was revoked on {day:%Y-%m-%d}: make a new one on the sensor's page.")
    return token


def reading_token_used(*, token: ReadingToken, told: str = "") -> None:
    """Note when a token let readings in, and what looked wrong with them; that stays until something else does."""
    now = timezone.now()
    told = told.encode("utf-8", "replace").decode().replace("\0", "?")  # a sender may send what no database keeps
    more = {"last_told": told[:300], "last_told_at": now} if told else {}
    ReadingToken.objects.filter(pk=token.pk).update(last_used_at=now, **more)

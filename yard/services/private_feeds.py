"""Private addresses of feeds: renewed, ended, asked for. Only this module writes their table."""

import secrets

from django.db import transaction
from django.utils import timezone

from yard.models import Person, PrivateFeed
from yard.services.history import history_add
from yard.services.people import token_hash


@transaction.atomic
def private_feed_renew(*, name: str, by: Person | None) -> str:
    """Give a feed a new address; the one before leads nowhere. Returns its secret part, which is kept nowhere."""
    secret = secrets.token_urlsafe(24)
    row, _ = PrivateFeed.objects.update_or_create(
        name=name, defaults={"token_hash": token_hash(secret), "renewed_at": timezone.now(), "renewed_by": by}
    )
    history_add(row, by=by, action="renewed")
    return secret


@transaction.atomic
def private_feed_end(*, name: str, by: Person | None) -> None:
    """Let a feed have no address any more."""
    row = PrivateFeed.objects.filter(name=name).first()
    if row is not None:
        history_add(row, by=by, action="ended")
        row.delete()


def private_feed_opens(*, name: str, secret: str) -> bool:
    """Whether this is the secret part of the feed's address."""
    return PrivateFeed.objects.filter(name=name, token_hash=token_hash(secret)).exists()


def private_feed_of(name: str) -> PrivateFeed | None:
    """The feed's row, if it has an address."""
    return PrivateFeed.objects.select_related("renewed_by").filter(name=name).first()

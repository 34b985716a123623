"""Private addresses for buyers: the one module that writes their table. Of the secret part only a hash is kept."""

import secrets
from datetime import date, timedelta

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from sales.models import BuyerLink, Document, DocumentKind, Order, OrderState
from sales.services.printed_document import PrintedDocument, printed_document
from yard.models import Person
from yard.services.history import history_add
from yard.services.people import token_hash
from yard.services.refused import Refused

SECRET_BYTES = 24  # 192 bits: nobody guesses it, however fast
DAYS_AFTER_QUOTE = 14  # a buyer looks again after the last day; our own choice
MOST_DAYS = 365


class LinkUnknown(Exception):  # noqa: N818 - reads as the sentence it is
    """No such link was ever made."""


class LinkOver(Exception):  # noqa: N818 - reads as the sentence it is
    """It has run out, was withdrawn, or there is no quote any more; nobody is told which."""


def usual_last_day(order: Order) -> date:
    """Until when a link opens unless somebody says otherwise: two weeks after the quote's own last day."""
    return (order.valid_until or timezone.localdate()) + timedelta(days=DAYS_AFTER_QUOTE)


@transaction.atomic
def buyer_link_make(*, by: Person | None, order: Order, expires_on: date | None = None) -> tuple[BuyerLink, str]:
    """Make a link to an order's quote. Returns it with its secret part, which is kept nowhere.

    Errors: Refused without a quote, or for a last day that has passed or is more than a year off.
    """
    today = timezone.localdate()
    if not _quotes(order).exists():
        raise Refused(f"Order {order.number} has no quote yet: quote it first.")
    last = expires_on or max(usual_last_day(order), today)
    if last < today:
        raise Refused("That day has passed: give a later one.", "expires_on")
    if last > today + timedelta(days=MOST_DAYS):
        raise Refused("At most a year from today.", "expires_on")
    secret = secrets.token_urlsafe(SECRET_BYTES)
    link = BuyerLink.objects.create(order=order, token_hash=token_hash(secret), made_by=by, expires_on=last)
    history_add(order, by=by, action="buyer's link made", note=f"opens until {last.isoformat()}")
    return link, secret


@transaction.atomic
def buyer_link_withdraw(*, by: Person | None, link: BuyerLink) -> None:
    """Make a link useless at once; a second time changes nothing."""
    now = timezone.now()
    if BuyerLink.objects.filter(pk=link.pk, withdrawn_at__isnull=True).update(withdrawn_at=now):
        history_add(link.order, by=by, action="link withdrawn")


def buyer_link_open(secret: str) -> tuple[BuyerLink, PrintedDocument]:
    """What a link shows: the order's newest quote as it was issued. Errors: LinkUnknown; LinkOver."""
    link = BuyerLink.objects.select_related("order").filter(token_hash=token_hash(secret)).first()
    if link is None:
        raise LinkUnknown
    if link.withdrawn_at is not None or link.expires_on < timezone.localdate():
        raise LinkOver
    quote = _quotes(link.order).first()
    if quote is None or link.order.state == OrderState.CANCELLED:
        raise LinkOver
    return link, printed_document(quote.figures)


def buyer_link_seen(link: BuyerLink) -> None:
    """Write down that the buyer opened it."""
    BuyerLink.objects.filter(pk=link.pk).update(seen_at=timezone.now(), seen_times=F("seen_times") + 1)


def _quotes(order: Order):
    return Document.objects.filter(order=order, kind=DocumentKind.QUOTE).order_by("-issued_at", "-id")

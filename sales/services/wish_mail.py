"""Buyers are told when what they like is ready: by e-mail where it is set up, each of a piece once."""

import logging
from collections.abc import Sequence
from smtplib import SMTPException

from django.conf import settings
from django.core.mail import send_mail
from django.db import transaction
from django.db.models import F
from django.urls import reverse

from sales.models import Wish
from sales.services.for_sale import Offer, offers_of
from sales.services.sale_settings import the_sale_settings
from sales.services.wish_matches import wish_ready
from sales.services.wishes import wish_told, wish_words
from yard import quantities as shown
from yard.services.yard_settings import the_yard
from yard.shown_units import showing

log = logging.getLogger("sales.wishes")

NOT_NOW = (OSError, SMTPException)
MOST_NAMED = 10
AT_ONCE = 200  # wishes looked at in one go; our own choice


def wishes_tell() -> str:
    """Write to everybody for whose wish something new is ready; says how many, or nothing. Without e-mail: nothing."""
    if not settings.EMAIL_URL:
        return ""
    waiting = Wish.objects.filter(closed_at__isnull=True, tell_by_email=True, buyer__hidden_at__isnull=True)
    longest = waiting.exclude(buyer__email="").order_by(F("told_at").asc(nulls_first=True), "pk")
    keys = longest.values_list("pk", flat=True)[:AT_ONCE]
    told = sum(_tell(pk) for pk in keys)
    return f"{told} buyer{'' if told == 1 else 's'} told of wood that is ready" if told else ""


@transaction.atomic
def _tell(pk: int) -> bool:
    """Tell one buyer. The row is held meanwhile: two servers never write twice; what is not sent is not told."""
    wish = Wish.objects.select_for_update(of=("self",)).select_related("buyer").get(pk=pk)
    ready = wish_ready(wish)
    enough = not wish.bf_wanted or sum(ready.values_list("green_bf", flat=True)) >= wish.bf_wanted
    if wish.closed_at is not None or not enough:
        return False
    new = list(ready.exclude(pk__in=wish.told_of))
    if not new:
        return False
    yard = the_yard()
    with showing(yard.units, yard.currency):
        subject, body = wish_message(wish, offers_of(new[:MOST_NAMED]), len(new))
    try:
        send_mail(subject, body, settings.DEFAULT_FROM_EMAIL, [wish.buyer.email])
    except NOT_NOW as error:
        log.warning("wish %s could not be told and waits: %s", pk, error)
        return False
    wish_told(wish, [slab.pk for slab in new])
    return True


def wish_message(wish: Wish, offers: Sequence[Offer], in_all: int) -> tuple[str, str]:
    """The subject and the words; prices only where the owner shows them to anybody."""
    yard, habits = the_yard(), the_sale_settings()
    lines = [f"Good day {wish.buyer.name},", "", f"you asked to be told of: {wish_words(wish)}."]
    lines += ["This is dry now:", ""]
    lines += [f"- {_line(offer)}" for offer in offers]
    if in_all > len(offers):
        lines.append(f"- and {in_all - len(offers)} more")
    if habits.public_open and settings.PUBLIC_URL:
        lines += ["", f"To look at: {settings.PUBLIC_URL.rstrip('/')}{reverse('outside:for-sale')}"]
    lines += ["", "Nothing is held for you by this: ask if you want one.", "You are told of each piece once."]
    lines += [line for line in (habits.public_contact, "", yard.name) if line or lines[-1]]
    subject = f"{yard.name}: {in_all} piece{'' if in_all == 1 else 's'} ready of what you asked for"
    return " ".join(subject.split())[:180], "\n".join(lines)


def _line(offer: Offer) -> str:
    parts = [
        f"{offer.tag}: {offer.wood} {shown.quarters(offer.quarters)} {offer.kind.lower()}",
        f"{shown.width(offer.width_in)} × {shown.length_in(offer.length_in)}",
        f"{offer.bf:f} bf",
        f"MC {shown.mc(offer.mc_pct)}" if offer.mc_pct is not None else "",
        offer.figure,
        shown.money(offer.price) if offer.price is not None else "",
    ]
    return ", ".join(part for part in parts if part)

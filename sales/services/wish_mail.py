"""Buyers are told when what they like is ready: by e-mail where it is set up, each of a piece once."""

import logging
from collections.abc import Sequence
from smtplib import SMTPAuthenticationError, SMTPDataError, SMTPException, SMTPRecipientsRefused

from django.conf import settings
from django.core.mail import send_mail
from django.db.models import F, QuerySet
from django.urls import reverse

from sales.models import Wish
from sales.services.for_sale import Offer, offers_of
from sales.services.sale_settings import the_sale_settings
from sales.services.wish_matches import wish_ready
from sales.services.wishes import wish_telling, wish_told, wish_words
from yard import quantities as shown
from yard.models import Slab
from yard.services.yard_settings import the_yard
from yard.shown_units import showing

log = logging.getLogger("sales.wishes")

NOT_NOW = (OSError, SMTPException, ValueError)  # the last for an address that cannot be written to
OF_ONE_ADDRESS = (SMTPRecipientsRefused, SMTPDataError, ValueError)  # the next buyer's message may go out all the same
MOST_NAMED = 10
AT_ONCE = 200  # wishes looked at in one go; our own choice


def wishes_tell() -> str:
    """Write to everybody for whose wish something new is ready; says how many, and what went wrong. Without e-mail:
    nothing.

    No message is sent inside a transaction. One that does not go out is tried the next time: nothing is lost, and the
    pages of wishes say why. Where the mail server itself does not answer, the others wait for the next time, too.
    """
    if not settings.EMAIL_URL:
        return ""
    told, failed, why = 0, 0, ""
    for wish in list(_waiting()[:AT_ONCE]):
        try:
            told += _tell(wish)
        except NOT_NOW as error:
            failed, why = failed + 1, _why(error)
            wish_told(wish, [], trouble=why)
            log.warning("wish %s could not be told and waits: %s", wish.pk, error)
            if not isinstance(error, OF_ONE_ADDRESS):
                break
    return "; ".join(
        words
        for words in (
            f"{told} buyer{'' if told == 1 else 's'} told of wood that is ready" if told else "",
            f"{failed} could not be told and {'is' if failed == 1 else 'are'} tried again: {why}" if failed else "",
        )
        if words
    )


def _waiting() -> QuerySet[Wish]:
    """Those with an address, whose last message did not go out last, whom nobody told for longest first."""
    waiting = Wish.objects.filter(closed_at__isnull=True, tell_by_email=True, buyer__hidden_at__isnull=True)
    return waiting.exclude(buyer__email="").order_by(
        F("trouble_at").asc(nulls_first=True), F("told_at").asc(nulls_first=True), "pk"
    )


def _tell(wish: Wish) -> bool:
    """Tell one buyer, if there is something new: taken first, sent then, written down last."""
    new = _new_for(wish)
    if not new or (row := wish_telling(wish)) is None:
        return False
    new = _new_for(row)  # what another server told meanwhile is told
    if new:
        yard = the_yard()
        with showing(yard.units, yard.currency):
            subject, body = wish_message(row, offers_of(new[:MOST_NAMED]), len(new))
        send_mail(subject, body, settings.DEFAULT_FROM_EMAIL, [row.buyer.email])
    wish_told(row, [slab.pk for slab in new])
    return bool(new)


def _new_for(wish: Wish) -> list[Slab]:
    ready = wish_ready(wish)
    enough = not wish.bf_wanted or sum(ready.values_list("green_bf", flat=True)) >= wish.bf_wanted
    return list(ready.exclude(pk__in=wish.told_of)) if enough else []


def _why(error: Exception) -> str:
    """Why a message did not go out, in words that name no password and fit a page."""
    if isinstance(error, (SMTPRecipientsRefused, ValueError)):
        return "the address is refused"
    if isinstance(error, SMTPAuthenticationError):
        return "the mail server refuses our name or password"
    if isinstance(error, SMTPException):
        return f"the mail server refuses it ({type(error).__name__})"
    return "the mail server does not answer"


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
        f"{shown.width(offer.width_in)} × {shown.length_in(offer.length_in)} (width {offer.width_how})",
        f"{offer.bf:f} bf",
        f"MC {shown.mc(offer.mc_pct)}" if offer.mc_pct is not None else "",
        offer.figure,
        shown.money(offer.price) if offer.price is not None else "",
    ]
    return ", ".join(part for part in parts if part)

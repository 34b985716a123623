"""What a contact likes to be told of and has bought, on the contact's page; `yard/parts.py` says how."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest

from sales.models import Wish
from sales.services.sold_wood import bought_by
from sales.services.wish_mail import wishes_tell
from sales.services.wish_matches import ready_counts
from sales.services.wishes import wish_words
from yard import access, parts
from yard.models import Contact
from yard.services import watches


def wishes_section(request: HttpRequest, contact: Contact) -> Mapping[str, Any] | None:
    """Open wishes with what is ready, and what was bought so far, by wood."""
    if not access.may(request.user, "sales:wishes"):
        return None
    wishes = list(Wish.objects.filter(buyer=contact, closed_at__isnull=True))
    sold = bought_by(contact)
    if not wishes and not sold.orders and not contact.is_buyer:
        return None
    ready = ready_counts(wishes)
    rows = [(wish, wish_words(wish), *ready[wish.pk]) for wish in wishes]
    return {"contact": contact, "wishes": rows, "sold": sold}


def join() -> None:
    """Let the contact's page show it, and the server look every few minutes for what is ready."""
    parts.register("contact", "sales/_wishes_section.html", wishes_section)
    watches.register(wishes_tell)

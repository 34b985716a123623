"""What selling adds to the yard's own pages; `yard/parts.py` says how."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from sales.services.order_list import orders_found
from sales.services.price_working import slab_working
from sales.services.promised_today import promised_today
from sales.services.reservations import slab_held
from sales.services.slab_price import slab_price
from yard import access, parts
from yard.models import Contact, Slab

SHOWN = 10


def slab_section(request: HttpRequest, slab: Slab) -> Mapping[str, Any] | None:
    """For whom a slab is reserved, and what it costs by which rule; a viewer sees only that it is promised."""
    held, may_see = slab_held(slab), access.may(request.user, "sales:orders")
    price = slab_price(slab) if may_see and slab.owner_id is None and not slab.is_gone else None
    if held is None and price is None and not may_see:
        return None
    working = slab_working(slab, price) if price else None
    return {"slab": slab, "held": held, "price": price, "may_see": may_see, "working": working}


def contact_section(request: HttpRequest, contact: Contact) -> Mapping[str, Any] | None:
    """A contact's orders, the newest first."""
    if not access.may(request.user, "sales:orders"):
        return None
    orders = list(orders_found(state="all").filter(buyer=contact)[: SHOWN + 1])
    return {"contact": contact, "orders": orders[:SHOWN], "has_more": len(orders) > SHOWN}


def today_section(request: HttpRequest, _: None) -> Mapping[str, Any] | None:
    """What is promised, which quotes run out, what is not paid."""
    if not access.may(request.user, "sales:orders"):
        return None
    found = promised_today(today=timezone.localdate(), with_money=access.may(request.user, "sales:order-pay"))
    return {"found": found} if found.has_any else None


def join() -> None:
    """Let the yard's pages show these."""
    parts.register("slab", "sales/_slab_section.html", slab_section)
    parts.register("contact", "sales/_contact_section.html", contact_section)
    parts.register("today", "sales/_today_section.html", today_section)

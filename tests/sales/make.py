"""Things of selling to test with: `make_rule(price="9.50")`, `make_order(slabs=2)` and friends."""

from datetime import date
from decimal import Decimal
from itertools import count

from sales.models import OrderState
from sales.services.order_lines import lines_add_slabs
from sales.services.orders import order_add
from sales.services.price_rules import price_rule_add
from sales.services.quotes import order_accept, quote_issue
from tests.make import make_slab
from yard.services.contacts import contact_add
from yard.services.dry_slabs import slabs_call_dry

RULES_FROM = date(2025, 1, 1)
_number = count(1)


def make_buyer(name="", **fields):
    """Somebody who buys."""
    return contact_add(by=None, name=name or f"Buyer {next(_number)}", is_buyer=True, **fields)


def make_owner(name="", **fields):
    """Somebody whose wood is dried for a fee."""
    return contact_add(by=None, name=name or f"Owner {next(_number)}", is_owner=True, **fields)


def make_rule(price="10.00", **fields):
    """A price for any wood by the board foot, from 2025 on."""
    chosen = {"valid_from": RULES_FROM} | fields
    return price_rule_add(by=None, price=Decimal(price), **chosen)


def make_dry_slab(tag=None, mc_pct=8.0, **fields):
    """A slab of red oak that was called dry: 22 bf green, its net tally by shrinkage."""
    slab = make_slab(tag, **fields)
    (dry,) = slabs_call_dry(slabs=[slab], mc_pct=mc_pct, on=date(2026, 2, 2), by=None)
    return dry


def make_order(slabs=1, buyer=None, state=OrderState.INQUIRY, price="100.00", **fields):
    """An order of so many new dry slabs, each with a price of its own, or of those given, taken to a state."""
    if isinstance(slabs, int):
        slabs = [make_dry_slab(price=Decimal(price)) for _ in range(slabs)]
    order = order_add(by=None, buyer=buyer or make_buyer(), **fields)
    if slabs:
        lines_add_slabs(by=None, order=order, slabs=slabs)
    if state == OrderState.QUOTED:
        quote_issue(by=None, order=order)
    elif state == OrderState.ORDERED:
        order_accept(by=None, order=order)
    order.refresh_from_db()
    return order

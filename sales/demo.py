"""What selling adds to the invented yard: prices, buyers, quotes and orders past and present, all made up."""

import random
import uuid
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from itertools import count

from django.utils import timezone

from sales.demo_story import BUYERS, HABITS, ORDERS, PRICES, WISHES, OrderTold
from sales.models import Document, Order, OrderLine, Reservation, Wish
from sales.services.credit_notes import credit_note_issue
from sales.services.deliveries import order_deliver
from sales.services.order_lines import line_add_asked, line_add_other, lines_add_slabs, lines_add_work
from sales.services.orders import order_add, order_cancel
from sales.services.payments import invoice_issue, payment_record
from sales.services.picking import slabs_pick
from sales.services.price_rules import price_rule_add, price_rule_follow
from sales.services.quotes import order_accept, quote_issue
from sales.services.sale_settings import sale_settings_change
from yard.demo.clock import Clock, happened
from yard.models import Contact, Person, Slab, Yard
from yard.models.base import CODE_ALPHABET, CODE_LENGTH
from yard.services.contacts import contact_add

RULES_SINCE, NEW_PRICES_SINCE = 420, 60  # days ago


@dataclass(frozen=True, slots=True)
class Here:
    """Who writes, and when it is."""

    clock: Clock
    owner: Person
    hand: Person
    payments: "count[int]"


def build() -> None:
    """Add the selling part to the demo yard that the yard and the kilns have just built."""
    yard = Yard.objects.get()
    with timezone.override(yard.time_zone):
        people = {role: Person.objects.filter(role=role).order_by("pk").first() for role in ("owner", "hand")}
        here = Here(Clock(timezone.localdate()), people["owner"], people["hand"], count(1))
        with happened(here.clock.at(RULES_SINCE)):
            sale_settings_change(by=here.owner, version=1, **HABITS)
            for name, note in BUYERS:
                contact_add(by=here.owner, name=name, is_buyer=True, note=note)
        _prices(here)
        for told in sorted(ORDERS, key=lambda told: -told.asked):
            _order(told, here)
        _wishes()
        _same_codes()


def _prices(here: Here) -> None:
    since = here.clock.day(RULES_SINCE)
    for price, later, fields in PRICES:
        with happened(here.clock.at(RULES_SINCE)):
            rule = price_rule_add(by=here.owner, price=Decimal(price), valid_from=since, **fields)
        if later:
            with happened(here.clock.at(NEW_PRICES_SINCE)):
                price_rule_follow(
                    by=here.owner, rule=rule, version=rule.version, price=Decimal(later),
                    valid_from=here.clock.day(NEW_PRICES_SINCE), minimum=rule.minimum, note="Winter stock is short",
                )  # fmt: skip


def _order(told: OrderTold, here: Here) -> None:
    day = here.clock.day
    with happened(here.clock.at(told.asked)):
        order = order_add(
            by=here.owner, buyer=Contact.objects.get(name=told.buyer), asked_on=day(told.asked), own_note=told.note,
            wanted_by=None if told.wanted is None else day(told.wanted), tax_pct=Decimal(told.tax),
        )  # fmt: skip
        _lines(told, order, here)
    if told.quoted is not None:
        with happened(here.clock.at(told.quoted, 10)):
            until = day(told.quoted - told.holds)
            quote_issue(by=here.owner, order=order, on=day(told.quoted), valid_until=until)
    if told.ordered is not None:
        with happened(here.clock.at(told.ordered, 11)):
            order_accept(by=here.owner, order=order, on=day(told.ordered))
    _promise(told, order, here)
    _picked_and_gone(told, order, here)
    for ago, amount in told.paid:
        with happened(here.clock.at(ago, 12)):
            payment_record(
                by=here.owner, order=order, amount=Decimal(amount), paid_on=day(ago),
                client_key=uuid.UUID(int=next(here.payments)),
            )  # fmt: skip
    if told.credited:
        ago, place, why = told.credited
        with happened(here.clock.at(ago, 12)):
            credit_note_issue(by=here.owner, order=order, places=[place], reason=why, on=day(ago))
    if told.cancelled:
        with happened(here.clock.at(told.cancelled[0], 13)):
            order_cancel(by=here.owner, order=order, reason=told.cancelled[1])
            Order.objects.filter(pk=order.pk).update(cancelled_on=day(told.cancelled[0]))
    _moments(order, told, here.clock)


def _lines(told: OrderTold, order: Order, here: Here) -> None:
    if told.slabs:
        slabs = [Slab.objects.get(tag=tag) for tag in told.slabs]
        lines_add_slabs(by=here.owner, order=order, slabs=slabs, on=here.clock.day(told.asked))
    for asked in told.asked_for:
        line_add_asked(by=here.owner, order=order, **asked)
    for work in told.work:
        lines_add_work(by=here.owner, order=order, work=work)
    for words, quantity, price, per in told.others:
        line_add_other(
            by=here.owner, order=order, words=words, quantity=Decimal(quantity), unit_price=Decimal(price), per=per
        )  # fmt: skip


def _promise(told: OrderTold, order: Order, here: Here) -> None:
    """The day that was promised, as it was written on the quote; for what is over, when it was kept."""
    if told.promised is None:
        return
    middle, safe = told.promised
    made = told.quoted if told.quoted is not None else told.asked
    Order.objects.filter(pk=order.pk).update(
        promise_made_on=here.clock.day(made), promise_middle=here.clock.day(middle),
        promise_date=here.clock.day(safe), promise_because={"holds_up": told.because} if told.because else {},
    )  # fmt: skip


def _picked_and_gone(told: OrderTold, order: Order, here: Here) -> None:
    if told.ready is not None and told.slabs:
        with happened(here.clock.at(told.ready, 14)):
            slabs_pick(by=here.hand, order=order, text="\n".join(told.slabs))
    if told.gone is not None:
        with happened(here.clock.at(told.gone, 15)):
            order_deliver(by=here.hand, order=order, on=here.clock.day(told.gone), unscanned=True)
            invoice_issue(by=here.owner, order=order, on=here.clock.day(told.gone))
    if told.ready is not None:
        ready = here.clock.day(told.ready)
        Order.objects.filter(pk=order.pk).update(ready_on=ready, kept_on=ready)


def _moments(order: Order, told: OrderTold, clock: Clock) -> None:
    """What the program stamps with its own clock is set to when it happened in the story."""
    Order.objects.filter(pk=order.pk).update(created_at=clock.at(told.asked))
    held = told.ordered if told.ordered is not None and told.quoted is None else told.quoted
    if held is not None:
        Reservation.objects.filter(line__order=order).update(since=clock.at(held))
    if told.ready is not None:
        OrderLine.objects.filter(order=order, picked_at__isnull=False).update(picked_at=clock.at(told.ready, 14))
    if told.gone is not None:
        Slab.objects.filter(order_lines__order=order).update(updated_at=clock.at(told.gone, 15))
    for document in Document.objects.filter(order=order):
        ago = (clock.today - document.issued_on) / timedelta(days=1)
        Document.objects.filter(pk=document.pk).update(issued_at=clock.at(ago, 15))


def _wishes() -> None:
    Wish.objects.bulk_create(
        Wish(buyer=Contact.objects.get(name=buyer), words=words, **fields) for buyer, words, fields in WISHES
    )


def _same_codes() -> None:
    """The codes of labels are the same every time."""
    dice = random.Random(11)
    for order in Order.objects.order_by("pk"):
        code = "".join(dice.choice(CODE_ALPHABET) for _ in range(CODE_LENGTH))
        Order.objects.filter(pk=order.pk).update(code=code)

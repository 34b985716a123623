"""Years of selling for the large yard, straight into the tables: orders, lines, promises, documents, payments."""

import random
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal

from sales.models import (
    Document,
    LineKind,
    Order,
    OrderLine,
    OrderState,
    Payment,
    Per,
    PriceRule,
    Reservation,
    Wish,
)
from sales.services.documents import document_figures, document_sums
from tests.bench.big_yard import BATCH, QUARTERS, SPECIES, TODAY
from yard.models import Contact, History, Slab, SlabState

BUYERS, OPEN, UNPAID, RULES, WISHES = 60, 80, 60, 120, 20  # alike in the small and the large yard: their pages are full
LINES, OPEN_LINES, DAYS_BETWEEN = 14, 4, 1.2  # 1,500 orders: five years, 20,200 lines
CREDITED_ONE_IN = 50


def sales_grow(orders: int, seed: int = 3) -> None:
    """Grow the orders up to this count: those that are open first, then ever older ones that are delivered."""
    dice = random.Random(seed)
    buyers = _buyers()
    have = Order.objects.count()
    if not have:
        _rules(dice)
        Wish.objects.bulk_create(
            Wish(buyer=buyers[n % BUYERS], species_key=dice.choice(SPECIES), words="For tables") for n in range(WISHES)
        )
    rows = [_order(n, buyers[n % len(buyers)] if n >= OPEN else buyers[0]) for n in range(have, orders)]
    made = Order.objects.bulk_create(rows, batch_size=BATCH)
    lines = _lines(made, dice)
    Reservation.objects.bulk_create(
        (Reservation(slab_id=line.slab_id, line=line) for line in lines if line.slab_id), batch_size=BATCH
    )
    _papers(made, lines)
    History.objects.bulk_create(
        (History(table="order", row_id=row.pk, row_label=row.number, action="added") for row in made), batch_size=BATCH
    )


def _buyers() -> list[Contact]:
    if not Contact.objects.filter(is_buyer=True).exists():
        Contact.objects.bulk_create(Contact(name=f"Buyer {n:03d}", is_buyer=True) for n in range(BUYERS))
    return list(Contact.objects.filter(is_buyer=True).order_by("pk")[:BUYERS])


def _rules(dice: random.Random) -> None:
    since = TODAY - timedelta(days=2000)
    PriceRule.objects.bulk_create(
        PriceRule(
            species_key=SPECIES[n % len(SPECIES)], quarters=QUARTERS[n // len(SPECIES) % len(QUARTERS)],
            width_from_in=4.0 + n // 25 * 3, price=Decimal(dice.randrange(400, 2000)) / 100, valid_from=since,
        )
        for n in range(RULES)
    )  # fmt: skip


def _order(n: int, buyer: Contact) -> Order:
    asked = TODAY - timedelta(days=int(n * DAYS_BETWEEN))
    number = f"B-{n:05d}"
    total = Decimal("1477.00")
    common = {"number": number, "buyer": buyer, "asked_on": asked, "currency": "USD", "tax_pct": Decimal("5.5"),
              "lines_total": Decimal("1400.00"), "tax": Decimal("77.00"), "total": total}  # fmt: skip
    if n < OPEN:
        state = (OrderState.INQUIRY, OrderState.QUOTED, OrderState.ORDERED, OrderState.READY)[n % 4]
        return Order(state=state, wanted_by=asked + timedelta(days=60), valid_until=TODAY + timedelta(days=2), **common)
    gone = asked + timedelta(days=20)
    return Order(
        state=OrderState.DELIVERED, quoted_on=asked, ordered_on=asked, ready_on=gone, delivered_on=gone, kept_on=gone,
        promise_made_on=asked, promise_date=gone + timedelta(days=n % 11 - 1), promise_middle=gone,
        invoice_number=f"I-{n:05d}", invoiced_on=gone, due_on=gone + timedelta(days=14), **common,
    )  # fmt: skip


def _lines(orders: list[Order], dice: random.Random) -> list[OrderLine]:
    """Open orders name slabs that stand in the yard; delivered ones slabs that are sold, as far as there are some."""
    taken = Reservation.objects.live().values("slab")
    ours = Slab.objects.ours().exclude(pk__in=taken).order_by("pk")
    here = list(ours.standing()[: OPEN * OPEN_LINES])
    sold = list(ours.filter(state=SlabState.SOLD)[: len(orders) * LINES])
    lines = []
    for order in orders:
        pile = here if order.is_open else sold
        for position in range(1, (OPEN_LINES if order.is_open else LINES) + 1):
            slab = pile.pop() if pile else None
            lines.append(
                OrderLine(
                    order=order, position=position, kind=LineKind.SLAB if slab else LineKind.OTHER, slab=slab,
                    words=f"{slab.tag}: wood" if slab else "Boards by the foot", bf=20.0, bf_how="as tallied",
                    quantity=Decimal(20), per=Per.BF, unit_price=Decimal(5), rule_words="Any wood",
                    total=Decimal("100.00"),
                )
            )  # fmt: skip
    return OrderLine.objects.bulk_create(lines, batch_size=BATCH)


def _papers(orders: list[Order], lines: list[OrderLine]) -> None:
    """A quote, a delivery note and an invoice for each that is delivered, and its payment but for the last few; one
    invoice in fifty is credited in part."""
    gone = [order for order in orders if not order.is_open]
    if not gone:
        return
    some = [line for line in lines if line.order_id == gone[0].pk]
    Document.objects.bulk_create((paper for order in gone for paper in _three(order, some)), batch_size=500)
    _credit_notes(gone[::CREDITED_ONE_IN])
    unpaid = OPEN + UNPAID
    Payment.objects.bulk_create(
        (
            Payment(order=order, amount=part, paid_on=order.due_on + timedelta(days=days))
            for order in gone
            if int(order.number[2:]) >= unpaid
            for days, part in enumerate((order.total / 2, order.total - order.total / 2))
        ),
        batch_size=BATCH,
    )


def _three(order: Order, lines: list[OrderLine]) -> Iterator[Document]:
    """The papers of an order, each with the same lines: what is kept is as long as in life."""
    for kind, number, day in (
        ("quote", f"Q-{order.number}", order.quoted_on),
        ("delivery", f"D-{order.number}", order.delivered_on),
        ("invoice", order.invoice_number, order.invoiced_on),
    ):
        figures = _printed(order, kind, tuple(lines)) | {"number": number}
        yield Document(
            order=order, kind=kind, number=number, issued_on=day, figures=figures, **document_sums(kind, figures)
        )


_KEPT: dict[str, dict] = {}


def _printed(order: Order, kind: str, lines: tuple[OrderLine, ...]) -> dict:
    """What a paper of this kind prints, worked out once: thousands of them differ by number alone."""
    if kind not in _KEPT:
        _KEPT[kind] = document_figures(order, kind, "", order.invoiced_on, lines)
    return _KEPT[kind]


def _credit_notes(orders: list[Order]) -> None:
    invoices = {row.order_id: row for row in Document.objects.filter(kind="invoice", order__in=orders)}
    notes = []
    for order in orders:
        invoice = invoices[order.pk]
        figures = invoice.figures | {
            "kind": "credit", "credits": invoice.number, "lines": invoice.figures["lines"][:1], "lines_total": "100.00",
            "discount": "0.00", "tax": "5.50", "total": "105.50",
        }  # fmt: skip
        notes.append(
            Document(order=order, kind="credit", number=f"C-{order.number}", issued_on=order.invoiced_on,
                     credits=invoice, figures=figures, **document_sums("credit", figures))
        )  # fmt: skip
    Document.objects.bulk_create(notes)
    Order.objects.filter(pk__in=[order.pk for order in orders]).update(credited=Decimal("105.50"))

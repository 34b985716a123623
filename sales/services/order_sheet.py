"""Everything that the page of an order shows, read in a fixed number of queries."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.utils import timezone

from sales.models import Document, LineKind, Order, OrderLine, OrderState, Payment
from sales.services.footage import slab_footage
from sales.services.line_prices import DRY_MC_PCT
from sales.services.picking import asked_short
from sales.services.reservations import held_words, holding
from yard.models import History

HISTORY_SHOWN = 30


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A line with the slabs that answer it, what is missing, and who else holds its slab."""

    line: OrderLine
    answers: tuple[OrderLine, ...] = ()
    missing: str = ""
    taken_words: str = ""


@dataclass(frozen=True, slots=True)
class OrderSheet:
    """An order as its page shows it."""

    order: Order
    lines: tuple[SheetLine, ...]
    replaced: tuple[OrderLine, ...]
    documents: tuple[Document, ...]
    payments: tuple[Payment, ...]
    history: tuple[History, ...]
    paid: Decimal
    picked: int
    to_pick: int
    run_out: bool = False
    held_by_others: tuple[str, ...] = field(default=())
    measured_otherwise: tuple[str, ...] = field(default=())

    @property
    def to_pay(self) -> Decimal:
        return self.order.total - self.paid

    @property
    def has_slabs(self) -> bool:
        return self.to_pick + self.picked > 0


def order_sheet(order: Order) -> OrderSheet:
    """Read it all."""
    every = list(order.lines.select_related("slab", "rule", "instead_of__slab"))
    standing = [line for line in every if line.gone_at is None]
    slabs = [line for line in standing if line.kind == LineKind.SLAB]
    taken = {}
    if order.is_open and order.state not in (OrderState.ORDERED, OrderState.READY):
        taken = {one.slab_id: held_words(one) for one in holding([line.slab_id for line in slabs], but=order)}
    short = {line.pk: words for line, words in asked_short(order)} if order.is_open else {}
    answers: dict[int, list[OrderLine]] = {}
    for line in slabs:
        answers.setdefault(line.answers_id, []).append(line)
    payments = list(order.payments.select_related("by", "voided_by"))
    picked = sum(line.picked_at is not None for line in slabs)
    history = History.objects.filter(table="order", row_id=order.pk).select_related("by").order_by("-at", "-id")
    return OrderSheet(
        order=order,
        lines=tuple(
            SheetLine(line, tuple(answers.get(line.pk, ())), short.get(line.pk, ""), taken.get(line.slab_id, ""))
            for line in standing
        ),
        replaced=tuple(line for line in every if line.gone_at is not None and line.kind == LineKind.SLAB),
        documents=tuple(order.documents.defer("figures")),
        payments=tuple(payments),
        history=tuple(history[:HISTORY_SHOWN]),
        paid=sum((one.amount for one in payments if not one.voided), Decimal("0.00")),
        picked=picked,
        to_pick=len(slabs) - picked,
        run_out=order.state == OrderState.QUOTED
        and order.valid_until is not None
        and order.valid_until < timezone.localdate(),
        held_by_others=tuple(taken.values()),
        measured_otherwise=_measured_otherwise(order, slabs),
    )


def _measured_otherwise(order: Order, slabs: Sequence[OrderLine]) -> tuple[str, ...]:
    """Slabs that measure something else now than their lines say, before it is invoiced."""
    if order.invoice_number or order.state not in (OrderState.ORDERED, OrderState.READY, OrderState.DELIVERED):
        return ()
    mc_pct = order.mc_pct or DRY_MC_PCT
    found = []
    for line in slabs:
        now = slab_footage(line.slab, basis=order.basis, rounding=order.rounding, mc_pct=mc_pct)
        if line.bf is not None and float(now.bf) != line.bf:
            found.append(f"{line.slab.tag} measures {now.bf} bf ({now.how}), the order says {line.bf:g}")
    return tuple(found)

"""Everything that the page of an order shows, read in a fixed number of queries."""

from dataclasses import dataclass, field
from decimal import Decimal

from django.utils import timezone

from sales.models import Document, LineKind, Order, OrderLine, OrderState, Payment
from sales.services.footage import basis_said
from sales.services.line_measures import lines_out_of_step
from sales.services.order_lines import can_reprice
from sales.services.picking import asked_short
from sales.services.price_working import PriceWorking, line_working, sums_working
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
    working: PriceWorking | None = None


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
    can_reprice: bool = False
    working: PriceWorking | None = None

    @property
    def to_pay(self) -> Decimal:
        return self.order.total - self.order.credited - self.paid

    @property
    def basis_words(self) -> str:
        """On what basis its wood is charged, with the truth about what was measured."""
        wood = [one.line for one in self.lines if one.line.kind in (LineKind.SLAB, LineKind.WORK)]
        hows = [line.bf_how for line in wood if line.bf is not None]
        return basis_said(self.order.basis, self.order.get_basis_display(), hows)

    @property
    def has_slabs(self) -> bool:
        return self.to_pick + self.picked > 0


def order_sheet(order: Order) -> OrderSheet:
    """Read it all."""
    every = list(order.lines.select_related("slab", "rule", "instead_of__slab", "answers"))
    standing = [line for line in every if line.gone_at is None]
    slabs = [line for line in standing if line.kind == LineKind.SLAB]
    taken = {}
    if order.is_open and order.state not in (OrderState.ORDERED, OrderState.READY):
        taken = {one.slab_id: held_words(one) for one in holding([line.slab_id for line in slabs], but=order)}
    short = {line.pk: words for line, words in asked_short(order)} if order.is_open else {}
    answers: dict[int, list[OrderLine]] = {}
    for line in slabs:
        answers.setdefault(line.answers_id, []).append(line)
    documents = tuple(order.documents.defer("figures"))
    payments = list(order.payments.select_related("by", "voided_by"))
    picked = sum(line.picked_at is not None for line in slabs)
    history = History.objects.filter(table="order", row_id=order.pk).select_related("by").order_by("-at", "-id")
    return OrderSheet(
        order=order,
        lines=tuple(
            SheetLine(
                line, tuple(answers.get(line.pk, ())), short.get(line.pk, ""), taken.get(line.slab_id, ""),
                line_working(line, order, answered=line.pk in answers),
            )
            for line in standing
        ),
        replaced=tuple(line for line in every if line.gone_at is not None and line.kind == LineKind.SLAB),
        documents=documents,
        payments=tuple(payments),
        history=tuple(history[:HISTORY_SHOWN]),
        paid=sum((one.amount for one in payments if not one.voided), Decimal("0.00")),
        picked=picked,
        to_pick=len(slabs) - picked,
        run_out=order.state == OrderState.QUOTED
        and order.valid_until is not None
        and order.valid_until < timezone.localdate(),
        held_by_others=tuple(taken.values()),
        working=sums_working(order, standing) if standing else None,
        can_reprice=can_reprice(order, documents),
        measured_otherwise=lines_out_of_step(order, standing),
    )

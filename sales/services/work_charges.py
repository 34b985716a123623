"""Work on wood follows the slabs that are in an order: which slabs each line of work is charged for now.

A line of work keeps the price that it was given. A slab that came later goes on the line of the rule that prices it;
where all of that work is priced by hand, on the line priced by hand; where nothing prices it, on a line without a
price, so that nobody quotes it for nothing.
"""

from collections.abc import Callable, Iterable, Sequence
from copy import copy
from dataclasses import dataclass, field

from sales.models import LineKind, Order, OrderLine
from sales.services.footage import DRY_MC_PCT, slab_footage
from sales.services.line_prices import price_set, work_footage_set
from sales.services.price_book import Price, PriceBook, wood_of
from yard.models import Slab

Rules = Callable[[], PriceBook]


@dataclass(slots=True)
class _Charged:
    """A line of work and the slabs that it is charged for now."""

    line: OrderLine
    slabs: list[Slab] = field(default_factory=list)


def work_as_now(order: Order, standing: Sequence[OrderLine], rules: Rules) -> list[OrderLine]:
    """The lines of work as they should be now, not saved: new ones too, and those with no slab left, which go.

    Parameters: standing are all lines that count, with their slabs; rules are read when a slab is on no line yet.
    """
    slabs = {line.slab_id: line.slab for line in standing if line.kind == LineKind.SLAB}
    work = [copy(line) for line in standing if line.kind == LineKind.WORK]
    found: list[OrderLine] = []
    for kind in dict.fromkeys(line.work for line in work):
        charged = [
            _Charged(line, [slabs[pk] for pk in line.work_slabs if pk in slabs]) for line in work if line.work == kind
        ]
        there = {slab.pk for one in charged for slab in one.slabs}
        for slab in slabs.values():
            if slab.pk not in there:
                price = rules().charge(kind, wood_of(slab, order.mc_pct or DRY_MC_PCT))
                _line_for(order, kind, charged, price).slabs.append(slab)
        for one in charged:
            work_footage_set(one.line, order, one.slabs)
            found.append(one.line)
    return found


def out_of_step(order: Order, standing: Sequence[OrderLine], rules: Rules) -> tuple[str, ...]:
    """What the lines charge otherwise than the slabs are now, in words: their footage, and the work on them."""
    mc_pct = order.mc_pct or DRY_MC_PCT
    said = []
    for line in standing:
        if line.kind == LineKind.SLAB and line.bf is not None:
            now = slab_footage(line.slab, basis=order.basis, rounding=order.rounding, mc_pct=mc_pct)
            if float(now.bf) != line.bf:
                said.append(f"{line.slab.tag} measures {now.bf} bf ({now.how}), the order says {line.bf:g}")
    return (*said, *_work_out_of_step({line.pk: line for line in standing}, work_as_now(order, standing, rules)))


def _work_out_of_step(before: dict[int, OrderLine], now: Iterable[OrderLine]) -> Iterable[str]:
    for line in now:
        old, pieces = before.get(line.pk), len(line.work_slabs)
        if old is None:
            yield f"{line.words} ({line.bf:g} bf) is not charged yet"
        elif not pieces:
            yield f"{old.words} is charged though none of that wood is in the order"
        elif line.quantity != old.quantity or line.bf != old.bf:
            yield f"{old.words} is charged for {old.bf or 0:g} bf, the slabs come to {line.bf:g} bf"


def _line_for(order: Order, work: str, charged: list[_Charged], price: Price | None) -> _Charged:
    """Where a slab that is on no line of this work yet belongs; a new line is added to `charged`."""
    for one in charged:
        line = one.line
        if price is not None and not line.priced_by_hand and line.rule_id == price.rule.pk and line.per == price.per:
            return one
    by_hand = [one for one in charged if one.line.priced_by_hand]
    if by_hand and (price is None or len(by_hand) == len(charged)):
        return by_hand[0]
    for one in charged:
        if price is None and not one.line.is_priced:
            return one
    new = _Charged(OrderLine(order=order, kind=LineKind.WORK, work=work))
    price_set(new.line, price)
    charged.append(new)
    return new

"""Footage of lines that follows the slabs and the terms: beside `order_lines.py` the one module that writes lines.

In an inquiry work follows the slabs at once. A slab that was measured again in the yard is told on the order's page,
and one step brings the lines in step with it; until then an inquiry is not quoted.
"""

from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from typing import Any

from django.db import transaction
from django.utils import timezone

from sales.models import LineKind, Order, OrderLine, OrderState
from sales.services.footage import DRY_MC_PCT
from sales.services.line_prices import (
    asked_footage_set,
    asked_price_set,
    price_set,
    slab_price_set,
    total_set,
    work_footage_set,
)
from sales.services.orders import lines_changed, next_position, order_locked, refuse_unless_changeable
from sales.services.price_book import PriceBook, wood_of
from sales.services.work_charges import out_of_step, work_as_now
from yard.models import Person, Slab
from yard.services.refused import Refused

NO_SLABS = "none of that wood is in the order any more"
MEASURED_IN = (OrderState.INQUIRY, OrderState.ORDERED, OrderState.READY, OrderState.DELIVERED)


def lines_out_of_step(order: Order, standing: list[OrderLine]) -> tuple[str, ...]:
    """What the lines charge otherwise than the slabs are now; nothing while a quote or an invoice holds them."""
    if order.invoice_number or order.state not in MEASURED_IN:
        return ()
    return out_of_step(order, standing, rules_of_today)


def refuse_out_of_step(order: Order, standing: list[OrderLine]) -> None:
    """Errors: Refused where a line of an inquiry is for another footage than its wood has now."""
    if said := lines_out_of_step(order, standing):
        raise Refused(f"{said[0]}. Choose “Charge what it measures” first.")


@transaction.atomic
def lines_price_anew(*, by: Person | None, order: Order) -> None:
    """Price all lines of an inquiry by today's rules; prices by hand stay, their footage follows."""
    row = order_locked(order)
    refuse_unless_changeable(row)
    for line in row.lines.standing().select_related("slab", "answers"):
        if line.kind == LineKind.WORK and not line.priced_by_hand:
            line.work_slabs = []  # each of its slabs goes on the line of the rule that counts today
        elif line.priced_by_hand:
            _measure(line, row)
        else:
            line_price_anew(line, row)
        line.version += 1
        line.save()
    work_follow(row)
    lines_changed(row, by, "priced anew", {})


@transaction.atomic
def lines_measure_anew(*, by: Person | None, order: Order) -> list[OrderLine]:
    """Charge what the slabs measure now, and work on those that are in it now, at agreed prices; the lines changed.

    Wood that was quoted before it was dry stands in the order with the footage that was expected of it.
    Errors: Refused for a quote, which is taken back first, and for what is invoiced or over.
    """
    row = order_locked(order)
    if row.state not in MEASURED_IN or row.invoice_number:
        raise Refused(f"Order {row.number} is {row.get_state_display().lower()} or invoiced: its footage stays.")
    changed, words = lines_follow(row)
    if changed:
        lines_changed(row, by, "measured anew", words)
    return changed


def lines_follow(row: Order) -> tuple[list[OrderLine], dict[str, list[Any]]]:
    """Bring the lines of a locked order in step with its slabs and terms, prices kept; the caller sums up and saves.

    Returns the lines that changed, and their footage before and after for the history.
    """
    changed, words = [], {}
    for line in row.lines.standing().exclude(kind=LineKind.WORK).select_related("slab", "answers"):
        before = (line.bf, line.bf_how, line.quantity, line.total)
        _measure(line, row)
        if before != (line.bf, line.bf_how, line.quantity, line.total):
            line.version += 1
            line.save()
            changed.append(line)
            words[f"{line.slab.tag if line.slab else line.words}: footage"] = [before[0], line.bf]
    for before, line in work_follow(row):
        changed.append(line)
        words[f"{line.words}: footage"] = [before, line.bf]
    return changed, words


def work_follow(row: Order, instead: Mapping[int, int] | None = None) -> list[tuple[float | None, OrderLine]]:
    """Let the lines of work of a locked order follow its slabs; the lines that changed, each with its footage before.

    Parameters: instead names a slab that went and the one that came for it, by id. Once an inquiry is over, only the
    lines that name such a slab follow it: what came later is told on the page, and charged when somebody says so.
    """
    standing = list(row.lines.standing().select_related("slab"))
    before = {line.pk: (line.bf, line.quantity, line.work_slabs) for line in standing}
    named = [line for line in standing if set(line.work_slabs) & set(instead or ())]
    for line in named:
        line.work_slabs = [instead.get(pk, pk) for pk in line.work_slabs]
    if instead and not row.can_change:
        for line in named:
            work_footage_set(line, row, list(Slab.objects.filter(pk__in=line.work_slabs).order_by("pk")))
        now = named
    else:
        now = work_as_now(row, standing, cache(rules_of_today))
    changed = [line for line in now if before.get(line.pk) != (line.bf, line.quantity, line.work_slabs)]
    for line in changed:
        _work_save(row, line)
    return [(before.get(line.pk, (None,))[0], line) for line in changed]


def rules_of_today() -> PriceBook:
    """Today's price list."""
    return PriceBook(on=timezone.localdate())


def line_price_anew(line: OrderLine, order: Order) -> None:
    """Give a line the price that today's rules say; what no rule prices keeps its own."""
    book = rules_of_today()
    if line.kind == LineKind.SLAB:
        slab_price_set(line, order, book)
    elif line.kind == LineKind.ASKED:
        asked_price_set(line, order, book)
    elif line.kind == LineKind.WORK and line.work_slabs:
        _work_price_set(line, order, book)
    else:
        total_set(line)  # no rule prices it: what it costs stays, its discount counts


def _work_price_set(line: OrderLine, order: Order, book: PriceBook) -> None:
    """Errors: Refused where no rule, or more than one, prices the slabs of this line."""
    slabs = list(Slab.objects.filter(pk__in=line.work_slabs).order_by("pk"))
    prices = [book.charge(line.work, wood_of(slab, order.mc_pct or DRY_MC_PCT)) for slab in slabs]
    if None in prices or len({price.rule.pk for price in prices}) != 1:
        words = "No single rule says what this work costs for its slabs"
        raise Refused(f"{words}: give it a price, or take it off and charge it again.", "unit_price")
    price_set(line, prices[0])
    work_footage_set(line, order, slabs)


def _measure(line: OrderLine, order: Order) -> None:
    if line.kind == LineKind.SLAB:
        slab_price_set(line, order, None)
    elif line.kind == LineKind.ASKED:
        asked_footage_set(line, order)


def _work_save(row: Order, line: OrderLine) -> None:
    if line.pk is None:
        if not row.can_change and not line.is_priced:
            raise Refused(f"No rule says what this costs: {line.words}. Add one first.")
        line.position = next_position(row)
    elif not line.work_slabs:
        line.gone_at, line.gone_because, line.total = timezone.now(), NO_SLABS, Decimal(0)
    line.version += line.pk is not None
    line.save()

"""Lines of orders: with `line_measures.py` the one module that writes their table.

What a line costs is worked out in `line_prices.py`.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import TypedDict, Unpack

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from sales.models import Document, DocumentKind, LineKind, Order, OrderLine, OrderState, Per, PriceOf
from sales.services.line_measures import line_price_anew, work_follow
from sales.services.line_prices import (
    asked_price_set,
    asked_words,
    hand_price_set,
    slab_price_set,
    total_set,
    work_lines,
)
from sales.services.orders import (
    lines_changed,
    next_position,
    order_locked,
    refuse_unless_changeable,
    refuse_unless_for_sale,
)
from sales.services.price_book import PriceBook
from sales.services.reservations import refuse_taken, reservations_release, slabs_reserve
from yard.models import Person, Slab
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.history import changes_between, snapshot
from yard.services.refused import Refused


class AskedFields(TypedDict, total=False):
    """Wood as a buyer asks for it: sizes in inches, at least; MC in percent, at most."""

    species_key: str
    quarters: float | None
    slab_kind: str
    min_width_in: float | None
    length_in: float | None
    grade: str
    figure: str
    matched: bool
    count: int | None
    bf_wanted: float | None
    target_mc_pct: float | None
    by_date: date | None
    waste_pct: float


@transaction.atomic
def lines_add_slabs(
    *,
    by: Person | None,
    order: Order,
    slabs: Sequence[Slab],
    answers: OrderLine | None = None,
    on: date | None = None,
) -> list[OrderLine]:
    """Put tagged slabs into an order, priced by their own price or the rules of a day; a few queries however many.

    Once it is ordered only slabs that answer a line of wood as asked for may come, at the price of that line.
    Errors: Refused for wood of somebody else, held back, gone or in the order already; Taken for promised wood.
    """
    row = order_locked(order)
    late = not row.can_change
    if late and (answers is None or row.state not in (OrderState.ORDERED, OrderState.READY)):
        raise Refused(f"Order {row.number} is {row.get_state_display().lower()}: nothing can be added to it.", "slabs")
    if row.invoice_number:
        words = f"Order {row.number} is invoiced ({row.invoice_number}): what is added would be on no invoice."
        raise Refused(f"{words} Take a new order for it, or credit the invoice first.", "slabs")
    rows = _slabs_anew(slabs)
    refuse_unless_sellable(row, rows)
    refuse_taken(rows, but=row)
    book, first = PriceBook(on=on or row.ordered_on or timezone.localdate()), next_position(row)
    lines = []
    for position, slab in enumerate(rows, start=first):
        line = OrderLine(order=row, position=position, kind=LineKind.SLAB, slab=slab, answers=answers)
        slab_price_set(line, row, book, keep_asked=late)
        if late and not line.is_priced:
            raise Refused(f"Nothing gives a price for {slab.tag}: give it its own, or add a rule first.", "slabs")
        lines.append(line)
    lines = OrderLine.objects.bulk_create(lines)
    if late:
        slabs_reserve(lines=lines, by=by)
    if answers is not None:
        _answered_set(answers)
    if not late:  # of what is ordered the page says what is not charged yet
        work_follow(row)
    lines_changed(row, by, "slabs added", {"slabs": [None, ", ".join(slab.tag for slab in rows)]})
    return lines


@transaction.atomic
def line_add_asked(*, by: Person | None, order: Order, **asked: Unpack[AskedFields]) -> OrderLine:
    """Put wood as a buyer asks for it into an inquiry, priced by the rules where one fits."""
    row = _changeable(order)
    if not asked.get("count") and not asked.get("bf_wanted"):
        raise Refused("How many pieces, or how many board feet?", "count")
    line = OrderLine(order=row, position=next_position(row), kind=LineKind.ASKED, **asked)
    line.words = asked_words(line)
    asked_price_set(line, row, PriceBook(on=timezone.localdate()))
    line.save()
    lines_changed(row, by, "line added", {"line": [None, line.words]})
    return line


@transaction.atomic
def lines_add_work(*, by: Person | None, order: Order, work: str) -> list[OrderLine]:
    """Charge drying, planing or sanitising for the slabs in the order, one line for wood that costs alike.

    Errors: Refused where the order names no slab, has that work already, or no rule gives its price.
    """
    row = _changeable(order)
    if PriceOf(work) == PriceOf.WOOD:
        raise Refused("Choose drying, planing or sanitising.", "work")
    standing = list(row.lines.standing().select_related("slab"))
    if any(line.work == work for line in standing):
        raise Refused(f"{PriceOf(work).label} is charged already: take that line off first.", "work")
    slabs = [line.slab for line in standing if line.kind == LineKind.SLAB]
    if not slabs:
        raise Refused("Put the slabs into the order first: the charge follows their board feet.", "work")
    lines = work_lines(row, work, slabs, PriceBook(on=timezone.localdate()), next_position(row))
    lines = OrderLine.objects.bulk_create(lines)
    lines_changed(row, by, "line added", {"line": [None, "; ".join(line.words for line in lines)]})
    return lines


@transaction.atomic
def line_add_other(
    *,
    by: Person | None,
    order: Order,
    words: str,
    quantity: Decimal,
    unit_price: Decimal,
    per: str = Per.SUM,
    taxed: bool = True,
) -> OrderLine:
    """Charge anything else: haulage, cutting to length, boards without a tag by the foot."""
    row = _changeable(order)
    if per == Per.SUM and quantity != 1:
        raise Refused("More than one: say whether the price is for a piece or for a board foot.", "per")
    line = OrderLine(
        order=row, position=next_position(row), kind=LineKind.OTHER, words=words.strip(), quantity=quantity,
        per=Per(per), taxed=taxed,
    )  # fmt: skip
    if per == Per.BF:
        line.bf, line.bf_how = float(quantity), "as tallied"
    hand_price_set(line, unit_price)
    line.save()
    lines_changed(row, by, "line added", {"line": [None, line.words]})
    return line


@transaction.atomic
def line_change(
    *, by: Person | None, line: OrderLine, version: int, unit_price: Decimal | None, discount_pct: Decimal,
    taxed: bool, words: str = "",
) -> OrderLine:  # fmt: skip
    """Change what a line says and costs; a price that is given is by hand, None goes back to the rules.

    Once the order is quoted, only after a credit note for all of its invoice, which is then invoiced anew.
    Errors: ChangedMeanwhile; Refused.
    """
    row = order_locked(line.order)
    if not can_reprice(row, row.documents.defer("figures")):
        refuse_unless_changeable(row)
    now = _line_locked(line, version)
    before = snapshot(now, ("words", "unit_price", "discount_pct", "taxed"))
    now.discount_pct, now.taxed, now.words = discount_pct, taxed, words.strip() or now.words
    if unit_price is None:
        now.priced_by_hand = False
        line_price_anew(now, row)
        now.words = words.strip() or now.words
    elif unit_price != now.unit_price or not now.is_priced:
        hand_price_set(now, unit_price)
    else:
        total_set(now, answered=now.kind == LineKind.ASKED and now.answered_by.standing().exists())
    changes = changes_between(before, snapshot(now, before))
    now.version += 1
    now.save()
    lines_changed(row, by, "line changed", {f"{now.words}: {name}": both for name, both in changes.items()})
    return now


@transaction.atomic
def line_take_off(*, by: Person | None, line: OrderLine, because: str = "taken off") -> None:
    """Take a line out of an inquiry; its slab is free again. What answered it goes with it."""
    row = _changeable(line.order)
    going = [line, *line.answered_by.standing()]
    reservations_release(lines=going, because=because)
    OrderLine.objects.filter(pk__in=[one.pk for one in going]).update(
        gone_at=timezone.now(), gone_because=because[:200], version=F("version") + 1
    )
    if line.answers is not None:
        _answered_set(line.answers)
    work_follow(row)
    lines_changed(row, by, "line off", {"line": [line.words, None]})


@transaction.atomic
def line_replace(*, by: Person | None, line: OrderLine, slab: Slab, because: str) -> OrderLine:
    """Give another slab instead of one that was promised; the old one is free again, the buyer keeps the price.

    A price by the board foot stays the same for each foot; a price for the piece stays the same for the piece.
    Errors: Refused when it is delivered or invoiced, or the new slab cannot be sold; Taken.
    """
    row = order_locked(line.order)
    if not row.is_open or row.invoice_number:
        raise Refused(f"Order {row.number} is closed or invoiced: a slab can no longer be replaced.")
    if row.state == OrderState.QUOTED:
        raise Refused(f"Order {row.number} is quoted with that slab: take the quote back to replace it.")
    old = _line_locked(line, None)
    if old.kind != LineKind.SLAB or old.gone_at is not None:
        raise Refused("Only a slab that stands in the order can be replaced.")
    (new,) = _slabs_anew([slab])
    refuse_unless_sellable(row, [new])
    if (old.slab.owner_id is None) != (new.owner_id is None):
        raise Refused("One is ours and the other is not: take the line off and add the other.", "slab")
    refuse_taken([new], but=row)
    held = old.reservations.live().first()
    reservations_release(lines=[old], because=f"{new.tag} instead")
    old.gone_at, old.gone_because = timezone.now(), because.strip()[:200] or f"{new.tag} instead"
    old.version += 1
    old.save()
    line = OrderLine(
        order=row, position=old.position, kind=LineKind.SLAB, slab=new, answers=old.answers, instead_of=old,
        per=old.per, unit_price=old.unit_price, rule=old.rule, rule_words=old.rule_words,
        priced_by_hand=old.priced_by_hand, minimum=old.minimum, discount_pct=old.discount_pct, taxed=old.taxed,
    )  # fmt: skip
    slab_price_set(line, row, None)
    line.save()
    if held is not None:
        slabs_reserve(lines=[line], by=by, expires_on=held.expires_on)
    work_follow(row, instead={old.slab_id: new.pk})
    lines_changed(row, by, "slab replaced", {"slab": [old.slab.tag, new.tag]}, old.gone_because)
    return line


def can_reprice(order: Order, documents: Iterable[Document]) -> bool:
    """Whether what lines cost may change though the order is past being quoted: all of its invoice was credited."""
    done = order.state in (OrderState.ORDERED, OrderState.READY, OrderState.DELIVERED) and not order.invoice_number
    return done and any(one.kind == DocumentKind.CREDIT for one in documents)


def lines_credited_set(*, order: Order, lines: Iterable[int], note: Document | None) -> None:
    """Mark lines as taken off the invoice by a credit note; none: all are on no invoice any more."""
    some = order.lines.filter(credited_by__isnull=False) if note is None else order.lines.filter(pk__in=lines)
    some.update(credited_by=note, version=F("version") + 1)


def lines_picked_set(*, lines: Iterable[OrderLine], by: Person | None, picked: bool) -> None:
    """Mark lines as picked, or not; `picking.py` decides which."""
    OrderLine.objects.filter(pk__in=[line.pk for line in lines]).update(
        picked_at=timezone.now() if picked else None, picked_by=by if picked else None, version=F("version") + 1
    )


def refuse_unless_sellable(order: Order, slabs: Sequence[Slab]) -> None:
    """Errors: Refused for slabs that are gone, of somebody else, held back, or in the order already."""
    refuse_unless_for_sale(order, slabs)
    there = set(order.lines.standing().filter(slab__in=slabs).values_list("slab_id", flat=True))
    for slab in slabs:
        if slab.pk in there:
            raise Refused(f"{slab.tag} is in this order already.", "slabs")


def _slabs_anew(slabs: Sequence[Slab]) -> list[Slab]:
    ids = [slab.pk for slab in slabs]
    if not ids:
        raise Refused("Name at least one slab by its tag or code.", "slabs")
    by_id = {slab.pk: slab for slab in Slab.objects.filter(pk__in=ids).select_related("owner")}
    return [by_id[pk] for pk in dict.fromkeys(ids)]


def _changeable(order: Order) -> Order:
    row = order_locked(order)
    refuse_unless_changeable(row)
    return row


def _line_locked(line: OrderLine, version: int | None) -> OrderLine:
    row = OrderLine.objects.select_for_update().get(pk=line.pk)
    if version is not None and row.version != version:
        raise ChangedMeanwhile(row)
    return row


def _answered_set(asked: OrderLine) -> None:
    """A line of wood as asked for costs nothing itself once slabs stand for it."""
    row = OrderLine.objects.get(pk=asked.pk)
    total_set(row, answered=row.answered_by.standing().exists())
    row.save(update_fields=["total"])

"""What a line of an order says and costs: words, footage, price and the rule behind it, the total to the cent."""

import re
from collections.abc import Sequence
from decimal import Decimal

from sales.models import FootageBasis, LineKind, Order, OrderLine, Per, PriceOf
from sales.services.dry_width import AS_SAWN, dry_length_in, dry_width
from sales.services.footage import DRY_MC_PCT, rounded_bf, slab_footage
from sales.services.money import line_total
from sales.services.price_book import OWN_PRICE, Price, PriceBook, Wood, wood_of
from yard import quantities as shown
from yard.models import Slab, SlabKind
from yard.services.refused import Refused
from yard.wood.species import UnknownSpecies, species

BY_HAND = "By hand"
THEIR_OWN = "Their own wood"
AS_QUOTED = "As the line it answers"


def slab_price_set(line: OrderLine, order: Order, book: PriceBook | None, *, keep_asked: bool = False) -> None:
    """Fill a slab's line. Without a book the price that the line has already stays, as for a slab that is replaced.

    Other people's wood costs nothing: only what was done to it does. With `keep_asked` the price is that of the line
    of wood as asked for, which was quoted.
    """
    slab = line.slab
    footage = slab_footage(slab, basis=order.basis, rounding=order.rounding, mc_pct=order.mc_pct or DRY_MC_PCT)
    line.words, line.bf, line.bf_how = slab_words(slab, order), float(footage.bf), footage.how
    if slab.owner_id is not None:
        line.per, line.unit_price, line.rule, line.rule_words = Per.SUM, Decimal(0), None, THEIR_OWN
    elif keep_asked and line.answers is not None and line.answers.is_priced:
        asked = line.answers
        line.per, line.unit_price, line.rule = asked.per, asked.unit_price, asked.rule
        line.rule_words = f"{AS_QUOTED}: {asked.rule_words}"[:300]
    elif book is not None:
        price_set(line, book.price(slab, order.mc_pct or DRY_MC_PCT))
    # A rule's price for a piece is for each board of a lot; a slab's own price is for all that bears its tag.
    pieces = slab.count if line.per == Per.SLAB and line.rule_words != OWN_PRICE else 1
    line.quantity = footage.bf if line.per == Per.BF else Decimal(pieces)
    total_set(line)


def asked_price_set(line: OrderLine, order: Order, book: PriceBook) -> None:
    """Fill the price of wood as asked for: by the board foot, or by the piece where a count was asked for."""
    price = book.price_of(asked_wood(line))
    if line.bf_wanted is not None:
        line.bf, line.bf_how = float(rounded_bf(line.bf_wanted, order.rounding)), "as asked for"
    if price is not None and price.per == Per.BF and line.bf_wanted is None:
        feet = least_bf(line)
        line.bf, line.bf_how = (float(rounded_bf(feet, order.rounding)), "at least") if feet else (None, "")
    if price is not None and price.per == Per.BF and not line.bf:
        price = None  # by the foot, but nobody knows how many: the slabs that answer it, or a hand, give the price
    price_set(line, price)
    line.quantity = Decimal(str(line.bf or 0)) if line.per == Per.BF else Decimal(line.count or 1)
    total_set(line, answered=line.pk is not None and line.answered_by.standing().exists())


def asked_footage_set(line: OrderLine, order: Order) -> None:
    """Round the footage of wood as asked for as the order says now; its price stays."""
    if line.bf_wanted is not None:
        line.bf = float(rounded_bf(line.bf_wanted, order.rounding))
    elif line.bf and (feet := least_bf(line)):
        line.bf = float(rounded_bf(feet, order.rounding))
    if line.per == Per.BF:
        line.quantity = Decimal(str(line.bf or 0))
    total_set(line, answered=line.pk is not None and line.answered_by.standing().exists())


def least_bf(line: OrderLine) -> float | None:
    """The footage that the pieces asked for hold at the least sizes asked for; None where a size was left open."""
    if not (line.count and line.min_width_in and line.length_in and line.quarters):
        return None
    thickness_in = max(line.quarters / 4, 1.0)
    return line.count * thickness_in * line.min_width_in * line.length_in / 144


def work_lines(order: Order, work: str, slabs: Sequence[Slab], book: PriceBook, position: int) -> list[OrderLine]:
    """Lines for work on slabs: those that cost alike go on one line, with the minimum of its rule.

    Errors: Refused where no rule gives a price for one of them.
    """
    groups: dict[tuple[int | None, str], tuple[Price, list[Slab]]] = {}
    for slab in slabs:
        price = book.charge(work, wood_of(slab, order.mc_pct or DRY_MC_PCT))
        if price is None:
            raise Refused(f"No rule says what {PriceOf(work).label.lower()} costs for {slab.tag}: add one.", "work")
        groups.setdefault((price.rule.pk if price.rule else None, price.per), (price, []))[1].append(slab)
    lines = []
    for price, some in groups.values():
        line = OrderLine(order=order, position=position + len(lines), kind=LineKind.WORK, work=work)
        price_set(line, price)
        work_footage_set(line, order, some)
        lines.append(line)
    return lines


def work_footage_set(line: OrderLine, order: Order, slabs: Sequence[Slab]) -> None:
    """Charge work for these slabs, as they measure now; its price stays, and words that somebody typed."""
    mc_pct = order.mc_pct or DRY_MC_PCT
    feet = [slab_footage(one, basis=order.basis, rounding=order.rounding, mc_pct=mc_pct) for one in slabs]
    total_bf = sum((one.bf for one in feet), Decimal(0))
    line.work_slabs = [one.pk for one in slabs]
    line.bf, line.bf_how = float(total_bf), "; ".join(dict.fromkeys(one.how for one in feet))[:120]
    count = sum(one.count for one in slabs)
    label = PriceOf(line.work).label
    if not line.words or re.match(rf"{label}: \d+ pieces? of ", line.words):
        line.words = f"{label}: {count} piece{'' if count == 1 else 's'} of {_woods(slabs)}"[:200]
    line.quantity = total_bf if line.per == Per.BF else Decimal(count if line.per == Per.SLAB else 1)
    total_set(line)


def hand_price_set(line: OrderLine, unit_price: Decimal) -> None:
    """Give a line a price by hand."""
    line.unit_price, line.priced_by_hand, line.rule, line.rule_words = unit_price, True, None, BY_HAND
    line.minimum = None
    total_set(line)


def total_set(line: OrderLine, *, answered: bool = False) -> None:
    """Work out the total; a line that slabs answer costs nothing itself."""
    line.total = (
        Decimal("0.00")
        if answered
        else line_total(
            quantity=line.quantity, unit_price=line.unit_price, discount_pct=line.discount_pct, minimum=line.minimum
        )
    )


def asked_wood(line: OrderLine) -> Wood:
    """What the rules ask about wood as asked for: the sizes are those it has at least."""
    return Wood(
        line.species_key, line.quarters, line.grade, line.slab_kind, line.min_width_in, line.length_in, line.figure
    )  # fmt: skip


def slab_words(slab: Slab, order: Order) -> str:
    """A slab as a document names it: tag, wood, thickness, kind, and its sizes with what its width rests on."""
    kind = SlabKind(slab.kind).label.lower()
    if order.basis == FootageBasis.GROSS:
        width_in, how, length_in = slab.mean_width_in, AS_SAWN, slab.length_in
    else:
        width = dry_width(slab, order.mc_pct or DRY_MC_PCT)
        width_in, how, length_in = width.width_in, width.how, dry_length_in(slab)
    size = f"{shown.width(width_in)} × {shown.length_in(length_in)}, width {how}"
    many = f", {slab.count} pieces" if slab.count > 1 else ""
    figure = f", {slab.figure}" if slab.figure else ""
    grade = f", {slab.grade}" if slab.grade else ""
    wood = f"{_wood(slab.species_key)} {shown.quarters(slab.quarters)} {kind}"
    return f"{slab.tag}: {wood}{many}{figure}{grade}, {size}"[:200]


def asked_words(line: OrderLine) -> str:
    """Wood as asked for, as a buyer says it."""
    if line.bf_wanted is not None:
        amount = shown.bf(line.bf_wanted)
    else:
        amount = "matched pair" if line.matched and line.count == 2 else f"{line.count}"
    if line.matched and not (line.count == 2 and line.bf_wanted is None):
        amount += ", matched"
    parts = [
        shown.quarters(line.quarters) if line.quarters else "",
        _wood(line.species_key) if line.species_key else "any wood",
        SlabKind(line.slab_kind).label.lower() if line.slab_kind else "",
    ]
    more = [
        f"{shown.width(line.min_width_in)} and wider" if line.min_width_in else "",
        f"{shown.length_in(line.length_in)} and longer" if line.length_in else "",
        f"{line.grade} and better" if line.grade else "",
        line.figure,
        f"at {line.target_mc_pct:g}%" if line.target_mc_pct else "",
        f"by {line.by_date.day} {line.by_date:%b %Y}" if line.by_date else "",
    ]
    wood = " ".join(part for part in parts if part)
    return ", ".join([f"{amount} of {wood}", *(part for part in more if part)])[:200]


def price_set(line: OrderLine, price: Price | None) -> None:
    """Give a line the price of a rule, or none where no rule fits; the caller works out quantity and total."""
    line.priced_by_hand = False
    if price is None:
        line.unit_price, line.rule, line.rule_words, line.minimum = Decimal(0), None, "", None
        by_piece = line.kind == LineKind.ASKED and line.count
        line.per = Per.BF if line.bf or line.kind == LineKind.WORK else Per.SLAB if by_piece else Per.SUM
        return
    line.unit_price, line.per, line.rule = price.amount, price.per, price.rule
    line.rule_words, line.minimum = price.words[:300], price.minimum


def _woods(slabs: Sequence[Slab]) -> str:
    return ", ".join(dict.fromkeys(f"{_wood(slab.species_key)} {shown.quarters(slab.quarters)}" for slab in slabs))


def _wood(key: str) -> str:
    try:
        return species(key).plain_name
    except UnknownSpecies:
        return key

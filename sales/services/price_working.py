"""A price opened up: footage and how it came about, rounding, the rule, quantity x price, minimum, discount, tax.

Every step is worked out again from what the line keeps, so that a reader with a pencil gets the same cents.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from sales.models import FootageBasis, LineKind, Order, OrderLine, Per
from sales.services.dry_width import MEASURED, dry_width, width_left
from sales.services.footage import DRY_MC_PCT, rounded_bf
from sales.services.line_prices import THEIR_OWN, least_bf
from sales.services.money import Sums, line_total, percent_of, sums, to_cents
from sales.services.price_book import Price, Wood
from sales.services.slab_price import SlabPrice
from yard import quantities as shown
from yard.models import Slab, SlabKind

MONEY_SOURCE = "the yard's own price list; rounding halves up is common practice, no source"
WOOD_SOURCE = f"footage: NHLA rules and, where it shrank, WH-GTR190 Eq. 4-7; prices: {MONEY_SOURCE}"
ROUNDED = {"hundredth": "a hundredth", "tenth": "a tenth", "whole": "the whole"}


@dataclass(frozen=True, slots=True)
class PriceWorking:
    """What is worked out, step by step, each with its name and its words; `source` says what it rests on."""

    title: str
    formula: str
    steps: tuple[tuple[str, str], ...]
    result: str
    source: str


def line_working(line: OrderLine, order: Order, *, answered: bool = False) -> PriceWorking | None:
    """How a line's total came about; None where it has no price yet or needs none, or slabs carry it."""
    if answered or not line.is_priced or line.rule_words == THEIR_OWN:
        return None
    steps = [*_footage_steps(line, order), ("Price", line.rule_words)]
    steps += _money_steps(line.quantity, line.per, line.unit_price, line.minimum, line.discount_pct)
    steps.append(("Tax", f"{_rate(order.tax_pct)}, worked out for the whole order" if line.taxed else "none on this"))
    source = WOOD_SOURCE if line.kind != LineKind.OTHER else MONEY_SOURCE
    formula = "quantity × price, at least the minimum, less the discount, to the cent"
    return PriceWorking(line.words, formula, tuple(steps), shown.money(line.total), source)


def sums_working(order: Order, lines: Iterable[OrderLine]) -> PriceWorking:
    """How the order's total came about."""
    every = list(lines)
    taxed = sum((line.total for line in every if line.taxed), Decimal("0.00"))
    found: Sums = sums(
        [(line.total, line.taxed) for line in every], discount_pct=order.discount_pct, tax_pct=order.tax_pct
    )
    steps = [("Lines", f"{len(every)} lines, each to the cent: {shown.money(found.lines)}")]
    if order.discount_pct:
        steps.append(("Discount", f"{_rate(order.discount_pct)} of {shown.money(found.lines)} = "
                                  f"{shown.money(found.discount)}"))  # fmt: skip
    base = f"{shown.money(taxed)} of the lines"
    if order.discount_pct:
        base += f", less {_rate(order.discount_pct)}: {shown.money(found.base)}"
    steps += [
        ("Taxed", base), ("Tax", f"{_rate(order.tax_pct)} of {shown.money(found.base)} = {shown.money(found.tax)}")
    ]  # fmt: skip
    formula = "lines − discount + tax on the taxed lines after the discount"
    return PriceWorking("Total", formula, tuple(steps), shown.money(found.total), MONEY_SOURCE)


def slab_working(slab: Slab, price: SlabPrice) -> PriceWorking:
    """How the price of a piece came about today."""
    steps = _slab_steps(slab, basis=price.basis, rounding=price.rounding, mc_pct=price.mc_pct)
    steps.append(("Price", price.price.words))
    steps += _money_steps(price.quantity, price.price.per, price.price.amount, price.price.minimum, Decimal(0))
    formula = "quantity × price, at least the minimum, to the cent"
    return PriceWorking("Price of the piece", formula, tuple(steps), shown.money(price.total), WOOD_SOURCE)


def tried_working(wood: Wood, price: Price, *, count: int, rounding: str, tax_pct: Decimal) -> PriceWorking | None:
    """How wood of these sizes would be charged; None for a price by the foot of wood whose sizes are left open."""
    line = OrderLine(
        quarters=wood.quarters, min_width_in=wood.width_in, length_in=wood.length_in, count=count, kind=LineKind.ASKED
    )
    feet = least_bf(line)
    if price.per == Per.BF and feet is None:
        return None
    steps = _sizes_steps(line, feet, rounding)
    quantity = {Per.BF: rounded_bf(feet or 0, rounding), Per.SLAB: Decimal(count)}.get(Per(price.per), Decimal(1))
    total = line_total(quantity=quantity, unit_price=price.amount, minimum=price.minimum)
    steps += [("Price", price.words), *_money_steps(quantity, price.per, price.amount, price.minimum, Decimal(0))]
    steps.append(("Tax", f"{_rate(tax_pct)} of {shown.money(total)} = {shown.money(percent_of(total, tax_pct))}"))
    formula = "quantity × price, at least the minimum, to the cent; tax on top"
    return PriceWorking("Before tax", formula, tuple(steps), shown.money(total), WOOD_SOURCE)


def _footage_steps(line: OrderLine, order: Order) -> list[tuple[str, str]]:
    if line.kind == LineKind.SLAB and line.slab is not None:
        mc_pct = order.mc_pct or DRY_MC_PCT
        steps = _slab_steps(line.slab, basis=order.basis, rounding=order.rounding, mc_pct=mc_pct)
        now = steps[-1][1]
        if line.bf is not None and not now.endswith(f" {_feet(Decimal(str(line.bf)))}"):
            return [("Footage", f"{line.bf:g} bf, {line.bf_how}, as it was when it was put in or quoted")]
        return steps
    if line.kind == LineKind.ASKED and line.bf_wanted is None and line.bf:
        return _sizes_steps(line, least_bf(line), order.rounding)
    if line.kind == LineKind.WORK and line.bf:
        return [("Footage", f"{line.bf:g} bf: the sum of {len(line.work_slabs)} rounded slabs; {line.bf_how}")]
    return [("Footage", f"{line.bf:g} bf, {line.bf_how}")] if line.bf else []


def _slab_steps(slab: Slab, *, basis: str, rounding: str, mc_pct: float) -> list[tuple[str, str]]:
    thick = f"{max(slab.quarters / 4, 1):g} in"
    green = f"{thick} × {slab.mean_width_in:.4g} in × {slab.length_in:.4g} in / 144"
    many = f" × {slab.count}" if slab.count > 1 else ""
    green = "the boards of its tally together" if slab.kind == SlabKind.LOT else f"{green}{many}"
    steps = [("Green tally", f"{green} = {slab.green_bf:.3f} bf")]
    feet = slab.green_bf
    if basis == FootageBasis.NET:
        width = dry_width(slab, mc_pct)
        if slab.net_bf is not None:
            feet = slab.net_bf
            steps.append(("Net tally", f"{shown.width(width.width_in)} wide ({width.how}): {feet:.3f} bf"))
            if width.how != MEASURED and slab.dry_mc_pct is not None:
                share = width_left(slab.species_key, slab.dry_mc_pct)
                steps[-1] = ("Net tally", f"{slab.green_bf:.3f} bf × {share:.4f}, {width.how} = {feet:.3f} bf")
        else:
            share = width_left(slab.species_key, mc_pct)
            feet = slab.green_bf * share
            words = f"{slab.green_bf:.3f} bf × {share:.4f}, expected at {mc_pct:g}% = {feet:.3f} bf"
            steps.append(("Net tally", words))
    steps.append(("Rounded", f"to {ROUNDED[rounding]} of a board foot: {_feet(rounded_bf(feet, rounding))}"))
    return steps


def _sizes_steps(line: OrderLine, feet: float | None, rounding: str) -> list[tuple[str, str]]:
    if feet is None:
        return []
    thick = max((line.quarters or 0) / 4, 1)
    sizes = f"{thick:g} in × {line.min_width_in:.4g} in × {line.length_in:.4g} in / 144"
    return [
        ("Footage", f"{line.count} × {sizes} = {feet:.3f} bf"),
        ("Rounded", f"to {ROUNDED[rounding]} of a board foot: {_feet(rounded_bf(feet, rounding))}"),
    ]


def _money_steps(
    quantity: Decimal, per: str, unit_price: Decimal, minimum: Decimal | None, discount_pct: Decimal
) -> list[tuple[str, str]]:
    full = to_cents(quantity * unit_price)
    unit = {Per.BF: " bf", Per.SLAB: " pieces" if quantity != 1 else " piece"}.get(Per(per), "")
    steps = [("Quantity × price", f"{_plain(quantity)}{unit} × {_plain(unit_price)} = {shown.money(full)}")]
    if minimum is not None and full < minimum:
        full = to_cents(minimum)
        steps.append(("At least", f"{shown.money(full)}, the least that its rule charges"))
    if discount_pct:
        off = percent_of(full, discount_pct)
        steps.append(("Discount", f"{_rate(discount_pct)} of {shown.money(full)} = {shown.money(off)}"))
    return steps


def _feet(bf: Decimal) -> str:
    return f"{bf.normalize() + 0:f} bf"


def _plain(figure: Decimal) -> str:
    return f"{figure.normalize() + 0:f}"


def _rate(pct: Decimal) -> str:
    return f"{_plain(pct)}%"

"""Sums of money: Decimal all through, every line rounded to the cent by itself, halves up.

What a document adds up is what its lines print: the sum is of rounded lines, and discount and tax are rounded once
each. Rounding halves up by the line is common practice, no source; where the law of the place rounds otherwise, it goes
before.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")
HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class Sums:
    """What an order comes to; `base` is what tax is reckoned on."""

    lines: Decimal
    discount: Decimal
    base: Decimal
    tax: Decimal
    total: Decimal


def to_cents(amount: Decimal) -> Decimal:
    """An amount to the cent, halves away from nought.

    >>> to_cents(Decimal("2.345")), to_cents(Decimal("-2.345")), to_cents(Decimal("2.3449"))
    (Decimal('2.35'), Decimal('-2.35'), Decimal('2.34'))
    """
    return amount.quantize(CENT, ROUND_HALF_UP)


def percent_of(amount: Decimal, pct: Decimal) -> Decimal:
    """A share of an amount, to the cent.

    >>> percent_of(Decimal("199.90"), Decimal("5.5"))
    Decimal('10.99')
    """
    return to_cents(amount * pct / HUNDRED)


def line_total(
    *, quantity: Decimal, unit_price: Decimal, discount_pct: Decimal = Decimal(0), minimum: Decimal | None = None
) -> Decimal:
    """What a line costs: quantity x unit price, at least the minimum, less its discount.

    >>> line_total(quantity=Decimal("22.5"), unit_price=Decimal("9.35"))
    Decimal('210.38')
    >>> line_total(quantity=Decimal("40"), unit_price=Decimal("0.45"), minimum=Decimal("60"))
    Decimal('60.00')
    """
    full = to_cents(quantity * unit_price)
    if minimum is not None and quantity > 0:
        full = max(full, to_cents(minimum))
    return full - percent_of(full, discount_pct)


def sums(lines: Iterable[tuple[Decimal, bool]], *, discount_pct: Decimal, tax_pct: Decimal) -> Sums:
    """What lines come to, each given as its total and whether it is taxed; the discount is shared by all alike.

    >>> sums([(Decimal("210.38"), True), (Decimal("40.00"), False)], discount_pct=Decimal(10), tax_pct=Decimal("5.5"))
    Sums(lines=Decimal('250.38'), discount=Decimal('25.04'), base=Decimal('189.34'), tax=Decimal('10.41'), total=Decimal('235.75'))
    """  # noqa: E501 - a worked value stands on one line
    every = list(lines)
    whole = sum((total for total, _ in every), Decimal("0.00"))
    taxed = sum((total for total, is_taxed in every if is_taxed), Decimal("0.00"))
    discount = percent_of(whole, discount_pct)
    base = taxed - percent_of(taxed, discount_pct)
    tax = percent_of(base, tax_pct)
    return Sums(lines=whole, discount=discount, base=base, tax=tax, total=whole - discount + tax)

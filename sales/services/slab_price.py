"""What a slab costs today, and how that comes about."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from sales.services.footage import DRY_MC_PCT, Footage, slab_footage
from sales.services.money import line_total
from sales.services.price_book import Price, PriceBook, price_quantity
from sales.services.sale_settings import the_sale_settings
from yard.models import Slab


@dataclass(frozen=True, slots=True)
class SlabPrice:
    """The price of the whole piece before tax, with the rule and the footage behind it."""

    total: Decimal
    price: Price
    footage: Footage
    quantity: Decimal
    basis: str
    rounding: str
    mc_pct: float


def slab_price(slab: Slab, book: PriceBook | None = None, mc_pct: float = DRY_MC_PCT) -> SlabPrice | None:
    """What it costs by its own price or the rules, on the yard's usual footage; None where nothing says."""
    price = (book or PriceBook(on=timezone.localdate())).price(slab, mc_pct)
    if price is None:
        return None
    habits = the_sale_settings()
    footage = slab_footage(slab, basis=habits.basis, rounding=habits.rounding, mc_pct=mc_pct)
    quantity = price_quantity(slab, price, footage.bf)
    total = line_total(quantity=quantity, unit_price=price.amount, minimum=price.minimum)
    return SlabPrice(total, price, footage, quantity, habits.basis, habits.rounding, mc_pct)

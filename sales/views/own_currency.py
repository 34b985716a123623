"""An order's page is in the order's own currency, whatever the yard's is today."""

from contextlib import AbstractContextManager

from sales.models import Order
from yard.shown_units import Shown, showing, shown


def own_currency(order: Order) -> AbstractContextManager[Shown]:
    """Show money in the currency that the order was made in, inside the block."""
    return showing(shown().units, order.currency)

"""Small ways in which selling joins yard and kilns: what is promised is not split, and is dried first."""

from kilns.services import charge_wishes
from sales.services.reservations import slab_tie
from sales.services.stack_wishes import stack_wishes
from yard.services import slab_ties
from yard.services.history import TABLE_NEEDS, TABLE_WORDS

WORDS = {
    "order": "Orders",
    "pricerule": "Prices",
    "payment": "Payments",
    "salesettings": "How we sell",
    "wish": "Wishes of buyers",
    "buyerlink": "Buyers' links",
}


def join() -> None:
    """Let the yard ask before a slab is split or made void, and the kilns who waits for wood; name the tables."""
    slab_ties.register(slab_tie)
    charge_wishes.register(stack_wishes)
    for table, words in WORDS.items():
        TABLE_WORDS.setdefault(table, words)
        TABLE_NEEDS.setdefault(table, "sales:orders")

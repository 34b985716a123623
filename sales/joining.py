"""Small ways in which selling joins the yard: what is promised is not split, and how its tables are called."""

from sales.services.reservations import slab_tie
from yard.services import slab_ties
from yard.services.history import TABLE_WORDS

WORDS = {
    "order": "Orders",
    "pricerule": "Prices",
    "payment": "Payments",
    "salesettings": "How we sell",
    "wish": "Wishes of buyers",
    "buyerlink": "Buyers' links",
}


def join() -> None:
    """Let the yard ask before a slab is split or made void, and call the tables of selling by words."""
    slab_ties.register(slab_tie)
    for table, words in WORDS.items():
        TABLE_WORDS.setdefault(table, words)

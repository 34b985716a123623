"""The places of selling in the menus; `yard/nav.py` says how they are shown."""

from yard import nav
from yard.nav import Place

PLACES = (
    Place("Orders", "sales:orders", "Inquiries, quotes, what is promised, what is paid"),
    Place("Answer a request", "sales:match", "What the yard has of what a buyer asks for"),
    Place("Promises", "sales:promises", "How the dates that we gave have held"),
    Place("Prices", "sales:prices", "What wood and work cost, and from when"),
    Place("Wishes", "sales:wishes", "What buyers like to be told of when it is ready"),
    Place("For sale", "outside:for-sale", "What anybody may see, if you open it"),
    Place("Looking back", "sales:reports", "What was sold and what it left, stock, what is unpaid"),
    Place("How we sell", "sales:sale-settings", "Terms, numbers, what strangers may see"),
)


def join() -> None:
    """Let the yard's menus know these places."""
    nav.register("Selling", PLACES)

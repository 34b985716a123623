"""Two buyers at one slab at the same moment, two hundred times, in real threads with connections of their own."""

import threading
from collections.abc import Iterator
from decimal import Decimal

from tests.bench.figures import Figure

RACES = 200


def figures(kind: str) -> Iterator[Figure]:
    """Accept two orders for one slab at once, again and again; then count what the database kept."""
    from django.db.models import Count

    from sales.models import Reservation
    from tests.make import make_yard
    from tests.sales.make import make_buyer

    make_yard()
    buyers = make_buyer("Anna Lind"), make_buyer("Ben Moor")
    came = [one_race(number, buyers) for number in range(RACES)]
    twice = Reservation.objects.live().values("slab").annotate(held=Count("pk")).filter(held__gt=1).count()
    both = sum(ends.count("ordered") > 1 for ends in came)
    one = sum(ends == ["ordered", "taken"] for ends in came)
    yield Figure(f"{kind}, races of two buyers for one slab", RACES, "", "200, real threads")
    yield Figure(f"{kind}, races that one won and the other was told so", one, "", str(RACES))
    yield Figure("double promises", twice + both, "", "0")


def one_race(number: int, buyers: tuple) -> list[str]:
    """One slab, two orders, one gate; how each ended."""
    from tests.sales.make import make_dry_slab, make_order

    slab = make_dry_slab(f"R-{number}", price=Decimal(100))
    return accept_at_once([make_order(slabs=[slab], buyer=buyer) for buyer in buyers])


def accept_at_once(orders: list) -> list[str]:
    """Accept all orders at the same moment, each in a thread of its own; how each ended."""
    from django.db import connection

    from sales.services.quotes import order_accept
    from sales.services.reservations import Taken

    gate, ends = threading.Barrier(len(orders)), []

    def accept(order) -> None:
        try:
            gate.wait()
            order_accept(by=None, order=order)
            ends.append("ordered")
        except Taken:
            ends.append("taken")
        except Exception as error:  # an odd end counts as none of the two and is printed by its name
            ends.append(type(error).__name__)
        finally:
            connection.close()

    threads = [threading.Thread(target=accept, args=(order,)) for order in orders]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(ends)

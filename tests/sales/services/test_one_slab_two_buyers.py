"""Two buyers at one slab at the same moment, with real threads: the database lets one of them have it."""

import threading
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction

from sales.models import OrderState, Reservation
from sales.services.quotes import order_accept
from sales.services.reservations import Taken
from tests.make import make_yard
from tests.sales.make import make_buyer, make_dry_slab, make_order

RACES = 12


def race(orders):
    """Accept all orders at once, each in its own thread and connection; what came of each."""
    gate, came = threading.Barrier(len(orders)), {}

    def accept(order):
        try:
            gate.wait()
            order_accept(by=None, order=order)
            came[order.pk] = "ordered"
        except Taken:
            came[order.pk] = "taken"
        except Exception as error:  # an odd end is shown by its name, not lost in the thread
            came[order.pk] = type(error).__name__
        finally:
            connection.close()

    threads = [threading.Thread(target=accept, args=(order,)) for order in orders]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(came.values())


@pytest.mark.django_db(transaction=True)
def test_one_of_two_buyers_gets_the_slab_and_the_other_is_told():
    make_yard()
    buyers = make_buyer("Anna Lind"), make_buyer("Ben Moor")
    for number in range(RACES):
        slab = make_dry_slab(f"R-{number}", price=Decimal(10))
        orders = [make_order(slabs=[slab], buyer=buyer) for buyer in buyers]
        assert race(orders) == ["ordered", "taken"]
        assert Reservation.objects.live().filter(slab=slab).count() == 1


@pytest.mark.django_db(transaction=True)
def test_orders_that_want_the_same_slabs_in_different_order_do_not_lock_each_other_out():
    """Each holds what the other wants next: without one order of locks PostgreSQL would end one with an error."""
    make_yard()
    for number in range(RACES):
        slabs = [make_dry_slab(f"R-{number}-{place}", price=Decimal(10)) for place in range(3)]
        orders = [make_order(slabs=slabs), make_order(slabs=slabs[::-1])]
        assert race(orders) == ["ordered", "taken"]
        assert Reservation.objects.live().filter(slab__in=slabs).count() == 3


def test_database_itself_refuses_a_second_live_promise(yard):
    """Whatever code may come: not the page, not the service, the table refuses."""
    order = make_order(state=OrderState.ORDERED)
    line = order.lines.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        Reservation.objects.create(slab=line.slab, line=line)
    Reservation.objects.update(released_at="2026-03-02T12:00Z")
    Reservation.objects.create(slab=line.slab, line=line)

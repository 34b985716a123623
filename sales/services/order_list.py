"""Finding orders: by state, buyer, number or slab, the newest first."""

from django.db.models import Q, QuerySet
from django.db.models.functions import Lower
from django.utils import timezone

from sales.models import Document, Order, OrderLine, OrderState
from sales.services.money import CENT
from sales.services.payments import with_paid
from yard.models import Slab

MOST_WORDS = 4


def orders_found(*, words: str = "", state: str = "open") -> QuerySet[Order]:
    """Orders with their buyers and what was paid.

    Parameters: state one of the states, or open, run_out, unpaid, give_back, all.
    """
    found, today = Order.objects.all(), timezone.localdate()
    if state == "open":
        found = found.open()
    elif state == "run_out":
        found = found.quotes_run_out(today)
    elif state in OrderState.values:
        found = found.filter(state=state)
    for word in words.split()[:MOST_WORDS]:
        # by the lower-case tag, which has an index
        slabs = Slab.objects.alias(low=Lower("tag")).filter(low=word.lower()).values("pk")
        with_slab = OrderLine.objects.standing().filter(slab__in=slabs).values("order")
        found = found.filter(
            Q(number__icontains=word) | Q(buyer__name__icontains=word) | Q(invoice_number__icontains=word)
            | Q(pk__in=with_slab) | Q(pk__in=Document.objects.filter(number__iexact=word).values("order"))
        )  # fmt: skip
    found = with_paid(found)
    if state == "unpaid":
        found = unpaid(found)
    elif state == "give_back":
        found = found.filter(Q(left__lte=-CENT) | Q(state=OrderState.CANCELLED, paid__gte=CENT))
    return found.select_related("buyer").order_by("-asked_on", "-id")


def unpaid(orders: QuerySet[Order]) -> QuerySet[Order]:
    """Invoiced orders for which something is still to come; needs `left`."""
    invoiced = orders.exclude(invoice_number="").exclude(state=OrderState.CANCELLED)
    return invoiced.filter(left__gte=CENT)

"""For whom wood of a stack is promised, and by when: what decides which stack goes into the kiln next."""

from collections.abc import Iterable

from django.db.models import Count
from django.utils import timezone

from kilns.services.charge_wishes import Wish
from sales.models import Reservation


def stack_wishes(stack_ids: Iterable[int]) -> dict[int, list[Wish]]:
    """The promises of each stack, an order each; one query however many stacks."""
    held = Reservation.objects.holding(timezone.localdate()).filter(slab__stack__in=list(stack_ids))
    rows = (
        held.order_by()
        .values(
            "slab__stack", "line__order", "line__order__number", "line__order__buyer__name",
            "line__order__promise_date", "line__order__wanted_by",
        )
        .annotate(pieces=Count("pk"))
        .order_by("slab__stack", "line__order")
    )  # fmt: skip
    found: dict[int, list[Wish]] = {}
    for row in rows:
        pieces = f"{row['pieces']} piece{'' if row['pieces'] == 1 else 's'}"
        words = f"{pieces} for {row['line__order__buyer__name']}, order {row['line__order__number']}"
        by = row["line__order__promise_date"] or row["line__order__wanted_by"]
        found.setdefault(row["slab__stack"], []).append(Wish(words, by))
    return found

"""What the label of an order says, for the pile that waits for its buyer; its code opens the order's page."""

from django.db.models import Q
from django.urls import reverse

from sales.models import Order, OrderState
from yard.services.label_kinds import LabelKind, register


def order_lines(order: Order) -> tuple[str, ...]:
    """Whose it is, and how far it has come."""
    return (order.buyer.name, order.get_state_display())


def join() -> None:
    """Let orders carry labels."""
    register(
        LabelKind(
            "order", "Orders", Order, lambda: Order.objects.select_related("buyer"),
            ~Q(state__in=[OrderState.DELIVERED, OrderState.CANCELLED]), "number", order_lines,
            lambda order: reverse("sales:order-page", args=[order.pk]),
        )
    )  # fmt: skip

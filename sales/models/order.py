"""An order from the first question to the last payment; a quote is an order that is not yet one."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from yard.models import WidthBasis
from yard.models.base import Coded, Edited


class OrderState(models.TextChoices):
    INQUIRY = "inquiry", "Inquiry"
    QUOTED = "quoted", "Quoted"
    ORDERED = "ordered", "Ordered"
    READY = "ready", "Ready to go"
    DELIVERED = "delivered", "Delivered"
    CANCELLED = "cancelled", "Cancelled"


class FootageBasis(models.TextChoices):
    GROSS = "gross", "Gross: as sawn, green"
    NET = "net", "Net: measured dry"


class FootageRounding(models.TextChoices):
    HUNDREDTH = "hundredth", "To a hundredth of a board foot"
    TENTH = "tenth", "To a tenth of a board foot"
    WHOLE = "whole", "To the whole board foot"


class OrderQuerySet(models.QuerySet):
    def open(self):
        """What is still to be done: asked, quoted, ordered or ready."""
        return self.exclude(state__in=[OrderState.DELIVERED, OrderState.CANCELLED])

    def promised(self):
        """What a buyer may rely on: ordered or ready, not yet gone."""
        return self.filter(state__in=[OrderState.ORDERED, OrderState.READY])

    def quotes_run_out(self, today):
        """Quotes that held until a day before `today`."""
        return self.filter(state=OrderState.QUOTED, valid_until__lt=today)


class Order(Coded, Edited):
    """Terms and totals of one order; the service works out the sums when a line changes.

    `promise_date` is the day that holds nine times in ten, `promise_middle` the day as likely before as after,
    `promise_because` what holds it up; `kept_on` is the day on which all of it was ready.
    """

    number = models.CharField(max_length=20, unique=True)
    buyer = models.ForeignKey("yard.Contact", on_delete=models.PROTECT, related_name="orders")
    state = models.CharField(max_length=10, choices=OrderState, default=OrderState.INQUIRY)
    asked_on = models.DateField()
    wanted_by = models.DateField(null=True, blank=True)
    basis = models.CharField(max_length=6, choices=FootageBasis, default=FootageBasis.NET)
    rounding = models.CharField(max_length=10, choices=FootageRounding, default=FootageRounding.TENTH)
    mc_pct = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(4), MaxValueValidator(100)],
        help_text="The MC at delivery that was agreed.",
    )  # fmt: skip
    mc_how = models.CharField(max_length=120, blank=True, help_text="How it is measured.")
    width_basis = models.CharField(max_length=12, choices=WidthBasis, default=WidthBasis.NARROW_FACE)
    terms = models.TextField(blank=True)
    note = models.TextField(blank=True)
    own_note = models.TextField(blank=True, help_text="For the yard alone: on no document.")
    currency = models.CharField(max_length=3)
    tax_pct = models.DecimalField(max_digits=6, decimal_places=3, default=Decimal(0))
    discount_pct = models.DecimalField(
        max_digits=5, decimal_places=2, default=Decimal(0), validators=[MinValueValidator(0), MaxValueValidator(100)]
    )
    lines_total = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0), editable=False)
    discount = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0), editable=False)
    tax = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0), editable=False)
    total = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0), editable=False)
    quoted_on = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    ordered_on = models.DateField(null=True, blank=True)
    ready_on = models.DateField(null=True, blank=True)
    delivered_on = models.DateField(null=True, blank=True)
    delivery_number = models.CharField(max_length=20, blank=True)
    invoice_number = models.CharField(max_length=20, blank=True)
    credited = models.DecimalField(
        max_digits=12, decimal_places=2, default=Decimal(0), editable=False,
        help_text="Of its invoice, by credit notes for some lines.",
    )  # fmt: skip
    invoiced_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    cancelled_on = models.DateField(null=True, blank=True)
    cancel_reason = models.CharField(max_length=200, blank=True)
    promise_made_on = models.DateField(null=True, blank=True)
    promise_date = models.DateField(null=True, blank=True)
    promise_middle = models.DateField(null=True, blank=True)
    promise_because = models.JSONField(default=dict, blank=True)
    kept_on = models.DateField(null=True, blank=True)

    objects = OrderQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(discount_pct__gte=0) & Q(discount_pct__lte=100) & Q(tax_pct__gte=0),
                name="order_rates_can_be",
            ),
            models.UniqueConstraint(
                fields=["invoice_number"], condition=~Q(invoice_number=""), name="order_invoice_number_once"
            ),
        ]
        indexes = [
            models.Index(fields=["-asked_on", "-id"], name="order_newest"),
            models.Index(fields=["state", "-asked_on", "-id"], name="order_state_newest"),
            models.Index(fields=["buyer", "-asked_on", "-id"], name="order_of_buyer"),
            models.Index(fields=["state", "valid_until"], name="order_valid_until"),
            models.Index(fields=["-promise_made_on", "-id"], name="order_promise_newest"),
        ]

    def __str__(self):
        return self.number

    @property
    def is_open(self) -> bool:
        return self.state not in (OrderState.DELIVERED, OrderState.CANCELLED)

    @property
    def can_change(self) -> bool:
        """Lines and terms may change while nothing has been put before the buyer as final."""
        return self.state == OrderState.INQUIRY

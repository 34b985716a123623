"""Money that came in, or went back."""

from django.db import models
from django.db.models import Q

from yard.models import Record


class PaymentWay(models.TextChoices):
    CASH = "cash", "Cash"
    CARD = "card", "Card"
    TRANSFER = "transfer", "Bank transfer"
    CHEQUE = "cheque", "Cheque"
    OTHER = "other", "Another way"


class Payment(Record):
    """One payment for an order; below nought for money given back."""

    order = models.ForeignKey("sales.Order", on_delete=models.PROTECT, related_name="payments")
    amount = models.DecimalField(max_digits=12, decimal_places=2)
    paid_on = models.DateField()
    way = models.CharField(max_length=10, choices=PaymentWay, default=PaymentWay.TRANSFER)

    class Meta:
        ordering = ["paid_on", "id"]
        constraints = [models.CheckConstraint(condition=~Q(amount=0), name="payment_is_something")]
        indexes = [models.Index(fields=["-paid_on", "-id"], name="payment_newest")]

    def __str__(self):
        return f"Payment {self.pk}"

"""What was given to the buyer: a quote, a delivery note, an invoice, a credit note, each as it was on its day."""

from django.db import models
from django.utils import timezone

from yard.models import AppendOnlyError


class DocumentKind(models.TextChoices):
    QUOTE = "quote", "Quote"
    DELIVERY = "delivery", "Delivery note"
    INVOICE = "invoice", "Invoice"
    CREDIT = "credit", "Credit note"


class Document(models.Model):
    """An issued document keeps its figures and terms, whatever becomes of the order, the rules and the slabs.

    `figures` holds all that is printed, money as text; `sales/services/documents.py` makes it and says what is in it.
    """

    order = models.ForeignKey("sales.Order", on_delete=models.PROTECT, related_name="documents")
    kind = models.CharField(max_length=8, choices=DocumentKind)
    number = models.CharField(max_length=20)
    issued_on = models.DateField()
    issued_at = models.DateTimeField(default=timezone.now)
    issued_by = models.ForeignKey("yard.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    figures = models.JSONField()
    credits = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="credit_notes",
        help_text="The invoice that a credit note puts right.",
    )  # fmt: skip
    # As it counts in the books: of a credit note below nought, of what is no bill empty.
    lines_total = models.DecimalField(max_digits=12, decimal_places=2, null=True, editable=False)
    discount = models.DecimalField(max_digits=12, decimal_places=2, null=True, editable=False)
    tax = models.DecimalField(max_digits=12, decimal_places=2, null=True, editable=False)
    total = models.DecimalField(max_digits=12, decimal_places=2, null=True, editable=False)

    class Meta:
        ordering = ["-issued_at", "-id"]
        constraints = [models.UniqueConstraint(fields=["kind", "number"], name="document_number_once")]

    def __str__(self):
        return f"{self.get_kind_display()} {self.number}"

    def save(self, *args, **kwargs):
        if not self._state.adding:
            raise AppendOnlyError("An issued document is never changed: issue another.")
        super().save(*args, **kwargs)

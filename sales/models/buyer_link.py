"""The private address under which a buyer sees an order without logging in."""

from django.db import models
from django.utils import timezone


class BuyerLink(models.Model):
    """Of its secret part only a hash is kept: who reads the database cannot open it."""

    order = models.ForeignKey("sales.Order", on_delete=models.CASCADE, related_name="buyer_links")
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey("yard.Person", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    expires_on = models.DateField(help_text="The last day it opens.")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    seen_at = models.DateTimeField(null=True, blank=True, help_text="When it was last opened.")
    seen_times = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-made_at", "-id"]

    def __str__(self):
        return f"Buyer's link {self.pk}"

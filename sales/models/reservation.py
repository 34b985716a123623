"""Which slab is promised to whom: at most one promise a slab, and the database sees to it."""

from django.db import models
from django.db.models import Q
from django.utils import timezone


class ReservationQuerySet(models.QuerySet):
    def live(self):
        """Those that still hold their slab."""
        return self.filter(released_at__isnull=True)

    def run_out(self, today):
        """Live ones whose last day was before `today`."""
        return self.live().filter(expires_on__lt=today)

    def holding(self, today):
        """Those on which somebody may rely today: live, and their last day has not passed."""
        return self.live().filter(Q(expires_on__isnull=True) | Q(expires_on__gte=today))


class Reservation(models.Model):
    """A slab held for a line of an order, until it is released or, for a quote, until its last day."""

    slab = models.ForeignKey("yard.Slab", on_delete=models.PROTECT, related_name="reservations")
    line = models.ForeignKey("sales.OrderLine", on_delete=models.CASCADE, related_name="reservations")
    since = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey("yard.Person", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    expires_on = models.DateField(null=True, blank=True, help_text="The last day it holds; empty: until released.")
    released_at = models.DateTimeField(null=True, blank=True)
    release_reason = models.CharField(max_length=200, blank=True)

    objects = ReservationQuerySet.as_manager()

    class Meta:
        ordering = ["-since", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["slab"], condition=Q(released_at__isnull=True), name="reservation_slab_promised_once"
            )
        ]
        indexes = [models.Index(fields=["released_at", "expires_on"], name="reservation_run_out")]

    def __str__(self):
        return f"Reservation {self.pk}"

"""Private addresses of feeds: whoever has one reads along, without a log-in."""

from django.conf import settings
from django.db import models
from django.utils import timezone


class PrivateFeed(models.Model):
    """The one address of a feed; renewing it ends the one before. Only the hash of its secret is kept."""

    name = models.CharField(max_length=30, unique=True)
    token_hash = models.CharField(max_length=64, unique=True)
    renewed_at = models.DateTimeField(default=timezone.now)
    renewed_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    def __str__(self):
        return f"Feed of {self.name}"

"""Tokens by which a sensor, or a hub with several, sends its readings by itself."""

from django.conf import settings
from django.db import models
from django.utils import timezone


class ReadingTokenQuerySet(models.QuerySet):
    def open(self):
        """Those that still let readings in."""
        return self.filter(revoked_at__isnull=True)


class ReadingToken(models.Model):
    """A secret that lets readings of these sensors in, and nothing else; only its hash is kept."""

    name = models.CharField(max_length=60, help_text="What sends with it.")
    sensors = models.ManyToManyField("yard.Sensor", related_name="reading_tokens")
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    last_used_at = models.DateTimeField(null=True, blank=True)
    last_told = models.CharField(max_length=300, blank=True, help_text="What looked wrong when it last did.")
    last_told_at = models.DateTimeField(null=True, blank=True)

    objects = ReadingTokenQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]

    def __str__(self):
        return self.name

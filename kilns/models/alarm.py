"""Alarms: each told once, with what to do, and quiet until it changes."""

from django.db import models
from django.db.models import Q
from django.utils import timezone


class Alarm(models.Model):
    """Something wrong or due in a kiln; open until its cause is gone or somebody has seen to it."""

    LEVELS = [("info", "Note"), ("caution", "Mind"), ("danger", "Stop")]

    kiln = models.ForeignKey("kilns.Kiln", on_delete=models.CASCADE, related_name="alarms")
    run = models.ForeignKey("kilns.Run", null=True, blank=True, on_delete=models.CASCADE, related_name="alarms")
    kind = models.CharField(max_length=40)
    about = models.CharField(max_length=80, blank=True, help_text="Which layer, sensor, stack: one alarm for each.")
    level = models.CharField(max_length=10, choices=LEVELS)
    words = models.CharField(max_length=300)
    what_to_do = models.CharField(max_length=300)
    value = models.FloatField(null=True)
    limit = models.FloatField(null=True)
    opened_at = models.DateTimeField(default=timezone.now)
    seen_at = models.DateTimeField(null=True, blank=True)
    seen_by = models.ForeignKey("yard.Person", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    mailed_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-opened_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["kiln", "kind", "about"], condition=Q(closed_at__isnull=True), name="alarm_open_once"
            )
        ]

    def __str__(self):
        return self.words

"""Drying schedules: assembled from published codes, or a yard's own with a note."""

from django.db import models
from django.db.models.functions import Lower

from yard.models.base import Edited


class Schedule(Edited):
    """A schedule that runs are made by. One from the published tables keeps its code and says "from memory"."""

    name = models.CharField(max_length=60)
    code = models.CharField(max_length=12, blank=True, help_text="Such as T4-D2, where it came from a code.")
    species_key = models.CharField(max_length=60, blank=True)
    thickness_in = models.FloatField(null=True, blank=True)
    provenance = models.CharField(max_length=120, blank=True)
    note = models.TextField(blank=True)
    hidden_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"), name="schedule_name_once", violation_error_message="Another schedule has this name."
            )
        ]

    def __str__(self):
        return self.name


class ScheduleStep(models.Model):
    """From an MC on: dry bulb and wet bulb; RH and EMC follow."""

    schedule = models.ForeignKey(Schedule, on_delete=models.CASCADE, related_name="steps")
    position = models.PositiveIntegerField()
    mc_from_pct = models.FloatField()
    dry_bulb_f = models.FloatField()
    wet_bulb_f = models.FloatField()
    rh_pct = models.FloatField()
    emc_pct = models.FloatField()

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["schedule", "position"], name="schedule_step_place_once")]

    def __str__(self):
        return f"{self.mc_from_pct:g}%: {self.dry_bulb_f:g} °F"

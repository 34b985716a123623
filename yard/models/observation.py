"""What people saw of the wood's moisture: append-only records."""

from django.db import models

from .base import Coded, Edited, Record


class Sample(Coded, Edited):
    """A slab or a cut board that is weighed again and again."""

    name = models.CharField(max_length=60)
    cohort = models.ForeignKey("yard.Cohort", on_delete=models.PROTECT, related_name="samples")
    slab = models.ForeignKey(
        "yard.Slab", null=True, blank=True, on_delete=models.PROTECT, related_name="samples"
    )
    place_note = models.CharField(max_length=120, blank=True, help_text="Such as: course 4, east end.")
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class Weighing(Record):
    """A sample's weight."""

    sample = models.ForeignKey(Sample, on_delete=models.PROTECT, related_name="weighings")
    weight_lb = models.FloatField()

    class Meta:
        ordering = ["made_at", "id"]
        indexes = [models.Index(fields=["sample", "made_at"], name="weighing_of_sample")]

    def __str__(self):
        return f"{self.sample} {self.weight_lb:g} lb"


class OvenSection(Record):
    """A section cut from the wood, weighed wet and oven-dried: it fixes the MC on the day it was cut.

    With `sample` and `sample_weight_lb` it gives the sample's oven-dry weight too.
    """

    cohort = models.ForeignKey("yard.Cohort", on_delete=models.PROTECT, related_name="oven_sections")
    sample = models.ForeignKey(
        Sample, null=True, blank=True, on_delete=models.PROTECT, related_name="oven_sections"
    )
    cut_at = models.DateTimeField()
    wet_lb = models.FloatField()
    oven_dry_lb = models.FloatField()
    mc_pct = models.FloatField()
    sample_weight_lb = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["cut_at", "id"]

    def __str__(self):
        return f"{self.mc_pct:.1f}% of {self.cut_at:%Y-%m-%d}"


class MeterReading(Record):
    """A pin meter's reading at a depth; kept when it is outside the usable range, but without weight."""

    cohort = models.ForeignKey("yard.Cohort", on_delete=models.PROTECT, related_name="meter_readings")
    slab = models.ForeignKey(
        "yard.Slab", null=True, blank=True, on_delete=models.PROTECT, related_name="meter_readings"
    )
    reading_pct = models.FloatField()
    depth_in = models.FloatField(null=True, blank=True)
    wood_temp_f = models.FloatField(null=True, blank=True)
    meter_species = models.CharField(max_length=60, blank=True, help_text="The species the meter was set to.")
    corrected_pct = models.FloatField(null=True)
    usable = models.BooleanField(default=True)
    why_unusable = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["made_at", "id"]

    def __str__(self):
        return f"{self.reading_pct:g}%"


class StackWeighing(Record):
    """The weight of a whole stack, stickers and bolsters taken off as `tare_lb`."""

    stack = models.ForeignKey("yard.Stack", on_delete=models.PROTECT, related_name="weighings")
    weight_lb = models.FloatField()
    tare_lb = models.FloatField(default=0)

    class Meta:
        ordering = ["made_at", "id"]

    def __str__(self):
        return f"{self.weight_lb:g} lb"

"""Bays: places where a stack stands, each with its air."""

from django.db import models
from django.db.models.functions import Lower

from .base import Coded, Edited


class BayKind(models.TextChoices):
    OUTDOORS = "outdoors", "Outdoors"
    SHED = "shed", "Shed"
    KILN = "kiln", "Kiln"
    DRY_STORE = "dry_store", "Dry store"


class BayAir(models.TextChoices):
    WEATHER = "weather", "The yard's weather"
    OFFSET = "offset", "The weather with an offset"
    STEADY = "steady", "Held at a temperature and humidity"
    SENSOR = "sensor", "A sensor in the bay"


class Bay(Coded, Edited):
    """A place for stacks. Its air is the yard's weather, that with offsets, held steady, or a sensor's."""

    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=12, choices=BayKind)
    air = models.CharField(max_length=10, choices=BayAir, default=BayAir.WEATHER)
    offset_temp_f = models.FloatField(default=0)
    offset_rh_pct = models.FloatField(default=0)
    steady_temp_f = models.FloatField(null=True, blank=True)
    steady_rh_pct = models.FloatField(null=True, blank=True)
    sensor = models.ForeignKey(
        "yard.Sensor", null=True, blank=True, on_delete=models.PROTECT, related_name="bays"
    )
    places = models.PositiveIntegerField(default=1, help_text="How many stacks fit.")
    map_x = models.PositiveIntegerField(default=0)
    map_y = models.PositiveIntegerField(default=0)
    map_w = models.PositiveIntegerField(default=2)
    map_h = models.PositiveIntegerField(default=2)
    note = models.TextField(blank=True)
    closed_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"), name="bay_name_once", violation_error_message="Another bay has this name."
            ),
            models.CheckConstraint(
                condition=~models.Q(air="steady")
                | (models.Q(steady_temp_f__isnull=False) & models.Q(steady_rh_pct__isnull=False)),
                name="bay_steady_air_is_given",
            ),
            models.CheckConstraint(
                condition=~models.Q(air="sensor") | models.Q(sensor__isnull=False), name="bay_sensor_is_given"
            ),
        ]

    def __str__(self):
        return self.name

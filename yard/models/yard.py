"""The yard itself: one row."""

import zoneinfo

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .base import Edited
from .person import Units


class LogRule(models.TextChoices):
    INTERNATIONAL = "international", "International 1/4-inch"
    SCRIBNER = "scribner", "Scribner Decimal C"
    DOYLE = "doyle", "Doyle"


def check_time_zone(name: str) -> None:
    if name not in zoneinfo.available_timezones():
        raise ValidationError("Choose a time zone from the list, such as America/Chicago.")


class Yard(Edited):
    """Name, place and habits of the yard. There is one row, with primary key 1."""

    name = models.CharField(max_length=80, default="Our yard")
    lat_deg = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)]
    )
    lon_deg = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    place_label = models.CharField(max_length=120, blank=True, help_text="How the place is called on pages.")
    city_key = models.CharField(max_length=60, blank=True, help_text="The built-in climate place, if chosen.")
    elevation_ft = models.FloatField(default=0)
    own_climate = models.JSONField(
        default=dict,
        blank=True,
        help_text="A usual year from a weather file instead of the built-in one: label, twelve [°F, %] months.",
    )
    time_zone = models.CharField(max_length=60, default="UTC", validators=[check_time_zone])
    units = models.CharField(max_length=10, choices=Units, default=Units.IMPERIAL)
    currency = models.CharField(max_length=3, default="USD", help_text="Three letters, such as USD or EUR.")
    tax_pct = models.DecimalField(max_digits=6, decimal_places=3, default=0)
    log_rule = models.CharField(max_length=20, choices=LogRule, default=LogRule.INTERNATIONAL)
    kiln_target_pct = models.FloatField(
        default=20.0,
        validators=[MinValueValidator(6), MaxValueValidator(35)],
        help_text="A stack is ready for the kiln when its wood is at or under this.",
    )
    dry_target_pct = models.FloatField(
        default=8.0,
        validators=[MinValueValidator(4), MaxValueValidator(20)],
        help_text="Wood out of the kiln is dry at or under this.",
    )
    frozen_stops_drying = models.BooleanField(
        default=True, help_text="Take wood below freezing as not drying at all (common practice, no source)."
    )
    set_up_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="yard_is_one_row")]

    def __str__(self):
        return self.name

    def save(self, *args, **kwargs):
        self.pk = 1
        super().save(*args, **kwargs)

    @property
    def has_place(self) -> bool:
        return self.lat_deg is not None and self.lon_deg is not None

"""Air: sensors and their readings, and the yard's weather by day."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from .base import Coded, Edited


class SensorKind(models.TextChoices):
    AIR = "air", "Air temperature and humidity"
    WET_BULB = "wet_bulb", "Dry bulb and wet bulb"
    CORE = "core", "Probe in the wood"


class Sensor(Coded, Edited):
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=10, choices=SensorKind, default=SensorKind.AIR)
    is_outdoor = models.BooleanField(default=False, help_text="Stands for the yard's weather.")
    column_map = models.JSONField(default=dict, blank=True, help_text="How its files are read, remembered.")
    retired_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="sensor_name_once",
                violation_error_message="Another sensor has this name.",
            ),
            models.UniqueConstraint(
                fields=["is_outdoor"],
                condition=Q(is_outdoor=True),
                name="one_outdoor_sensor",
                violation_error_message="Another sensor already stands for the yard's weather.",
            ),
        ]

    def __str__(self):
        return self.name


class Reading(models.Model):
    """One reading of a sensor; repeated or out of order, it is the same row."""

    sensor = models.ForeignKey(Sensor, on_delete=models.PROTECT, related_name="readings")
    at = models.DateTimeField()
    temp_f = models.FloatField(null=True)
    rh_pct = models.FloatField(null=True)
    wet_bulb_f = models.FloatField(null=True)
    core_f = models.FloatField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sensor", "at"], name="reading_once")]

    def __str__(self):
        return f"{self.sensor_id} {self.at:%Y-%m-%d %H:%M}"


class SensorDay(models.Model):
    """The day's averages of a sensor's readings, in the yard's time zone, kept up by the readings service."""

    sensor = models.ForeignKey(Sensor, on_delete=models.CASCADE, related_name="days")
    day = models.DateField()
    temp_f = models.FloatField(null=True)
    rh_pct = models.FloatField(null=True)
    readings = models.PositiveIntegerField()
    hours = models.PositiveSmallIntegerField(help_text="Different hours of the day with a reading.")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sensor", "day"], name="sensor_day_once")]

    def __str__(self):
        return f"{self.sensor_id} {self.day}"


class WeatherFile(models.Model):
    """A weather file that was read: what it was and what it gave."""

    name = models.CharField(max_length=200)
    format = models.CharField(max_length=30)
    station = models.CharField(max_length=200, blank=True)
    first_day = models.DateField(null=True)
    last_day = models.DateField(null=True)
    days_read = models.PositiveIntegerField(default=0)
    days_missing = models.PositiveIntegerField(default=0)
    warnings = models.JSONField(default=list)
    read_at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey("yard.Person", null=True, on_delete=models.PROTECT, related_name="+")

    def __str__(self):
        return self.name


class WeatherDay(models.Model):
    """One day of a weather file: averages of temperature and humidity; the newest file that has a day counts."""

    day = models.DateField()
    temp_f = models.FloatField(null=True)
    rh_pct = models.FloatField(null=True)
    file = models.ForeignKey(WeatherFile, on_delete=models.CASCADE, related_name="days")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["day", "file"], name="weather_day_once_a_file")]

    def __str__(self):
        return f"{self.day}"

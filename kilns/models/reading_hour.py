"""Readings of a sensor by the hour, so that a run's chart is as quick with a million of them as with a thousand.

They follow from the readings, which are kept in full, and can be made anew from them at any time.
"""

from django.db import models


class ReadingHour(models.Model):
    """Lowest, highest and mean of each measure in one hour; `hour` counts from 1970 in UTC."""

    sensor = models.ForeignKey("yard.Sensor", on_delete=models.CASCADE, related_name="+")
    hour = models.IntegerField()
    readings = models.PositiveIntegerField()
    temp_low_f = models.FloatField(null=True)
    temp_high_f = models.FloatField(null=True)
    temp_mean_f = models.FloatField(null=True)
    rh_low_pct = models.FloatField(null=True)
    rh_high_pct = models.FloatField(null=True)
    rh_mean_pct = models.FloatField(null=True)
    wet_bulb_low_f = models.FloatField(null=True)
    wet_bulb_high_f = models.FloatField(null=True)
    wet_bulb_mean_f = models.FloatField(null=True)
    core_low_f = models.FloatField(null=True)
    core_high_f = models.FloatField(null=True)
    core_mean_f = models.FloatField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sensor", "hour"], name="reading_hour_once")]

    def __str__(self):
        return f"{self.sensor_id} hour {self.hour}"


class ReadingHoursDay(models.Model):
    """How many readings of a day its hours were made from; another number in the yard, and they are made anew."""

    sensor = models.ForeignKey("yard.Sensor", on_delete=models.CASCADE, related_name="+")
    day = models.DateField()
    readings = models.PositiveIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sensor", "day"], name="reading_hours_day_once")]

    def __str__(self):
        return f"{self.sensor_id} {self.day}"

"""A kiln as built: its box, its glazing, what heats, moves and dries its air, its circuits and sensors."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from yard.models.base import Coded, Edited


class Part(models.TextChoices):
    WALL = "wall", "Wall"
    FLOOR = "floor", "Floor"
    ROOF = "roof", "Roof or ceiling"
    DOOR = "door", "Door"
    GLAZING = "glazing", "Glazing"


class SensorPlace(models.TextChoices):
    AIR_IN = "air_in", "Air before the stack"
    AIR_OUT = "air_out", "Air behind the stack"
    CORE = "core", "Core of the wood"
    OUTDOOR = "outdoor", "Outdoors"


class Kiln(Coded, Edited):
    """The sheet of a kiln. It stands for a bay of kind kiln, through which stacks come in and go out."""

    bay = models.OneToOneField("yard.Bay", on_delete=models.PROTECT, related_name="kiln")
    name = models.CharField(max_length=60)
    chamber_length_ft = models.FloatField(validators=[MinValueValidator(1), MaxValueValidator(100)])
    chamber_width_ft = models.FloatField(validators=[MinValueValidator(1), MaxValueValidator(100)])
    chamber_volume_ft3 = models.FloatField(validators=[MinValueValidator(10), MaxValueValidator(100_000)])
    stack_length_ft = models.FloatField(validators=[MinValueValidator(1), MaxValueValidator(100)])
    stack_width_ft = models.FloatField(validators=[MinValueValidator(1), MaxValueValidator(40)])
    stack_height_ft = models.FloatField(validators=[MinValueValidator(0.5), MaxValueValidator(20)])
    air_changes_per_h = models.FloatField(default=0.5, validators=[MinValueValidator(0), MaxValueValidator(20)])
    vent_cfm = models.FloatField(default=0, validators=[MinValueValidator(0)])
    structure_btu_f = models.FloatField(default=150, validators=[MinValueValidator(0)])
    glazing_tilt_deg = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(90)]
    )
    glazing_facing_deg = models.FloatField(
        default=180, validators=[MinValueValidator(0), MaxValueValidator(360)], help_text="180 is due south."
    )
    hottest_f = models.FloatField(
        default=120,
        validators=[MinValueValidator(60), MaxValueValidator(200)],
        help_text="The dry bulb that it can hold while it dries.",
    )
    energy_price = models.DecimalField(
        max_digits=8, decimal_places=4, null=True, blank=True, help_text="For a kWh, in the yard's currency."
    )
    closed_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class KilnSurface(models.Model):
    """One part of the box; its layers are listed from inside to outside."""

    kiln = models.ForeignKey(Kiln, on_delete=models.CASCADE, related_name="surfaces")
    part = models.CharField(max_length=10, choices=Part)
    name = models.CharField(max_length=60)
    area_ft2 = models.FloatField(validators=[MinValueValidator(0.1), MaxValueValidator(100_000)])

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return self.name


class KilnLayer(models.Model):
    """One layer: a published material by its key, or a material of one's own with its R-value."""

    surface = models.ForeignKey(KilnSurface, on_delete=models.CASCADE, related_name="layers")
    position = models.PositiveIntegerField(help_text="1 is the inside.")
    material_key = models.CharField(max_length=40, blank=True)
    thickness_in = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0.01), MaxValueValidator(48)])
    own_name = models.CharField(max_length=60, blank=True)
    own_r_value = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(200)])
    own_limit_f = models.FloatField(null=True, blank=True)
    vapour_barrier = models.BooleanField(default=False)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["surface", "position"], name="kiln_layer_place_once"),
            models.CheckConstraint(
                condition=Q(material_key__gt="") | Q(own_r_value__isnull=False), name="kiln_layer_has_a_material"
            ),
        ]

    def __str__(self):
        return self.own_name or self.material_key


class Circuit(models.Model):
    """An electric circuit by its breaker."""

    kiln = models.ForeignKey(Kiln, on_delete=models.CASCADE, related_name="circuits")
    name = models.CharField(max_length=60)
    breaker_a = models.FloatField(validators=[MinValueValidator(1), MaxValueValidator(400)])
    volts = models.FloatField(default=120, validators=[MinValueValidator(12), MaxValueValidator(600)])

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return self.name


class DeviceKind(models.TextChoices):
    HEATER = "heater", "Heater"
    FAN = "fan", "Fan"
    DEHUMIDIFIER = "dehumidifier", "Dehumidifier"
    OTHER = "other", "Other load"


class Device(models.Model):
    """Something on a circuit, by its nameplate. The program never switches it."""

    kiln = models.ForeignKey(Kiln, on_delete=models.CASCADE, related_name="devices")
    circuit = models.ForeignKey(Circuit, null=True, blank=True, on_delete=models.SET_NULL, related_name="devices")
    kind = models.CharField(max_length=12, choices=DeviceKind)
    name = models.CharField(max_length=60)
    count = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1), MaxValueValidator(100)])
    power_w = models.FloatField(help_text="Of one.", validators=[MinValueValidator(0), MaxValueValidator(100_000)])
    limit_f = models.FloatField(null=True, blank=True, help_text="The hottest air that it may stand in.")
    curve = models.JSONField(default=list, blank=True, help_text="A fan's points: [static in of water, ft³/min].")
    pints_per_day = models.FloatField(null=True, blank=True)
    litres_per_kwh = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["kind", "id"]

    def __str__(self):
        return self.name


class KilnSensor(models.Model):
    """Which sensor reads what of a kiln. A sensor stands in one kiln at a time."""

    kiln = models.ForeignKey(Kiln, on_delete=models.CASCADE, related_name="kiln_sensors")
    sensor = models.ForeignKey("yard.Sensor", on_delete=models.PROTECT, related_name="in_kilns")
    place = models.CharField(max_length=10, choices=SensorPlace, default=SensorPlace.AIR_IN)
    silent_after_min = models.PositiveIntegerField(default=60, help_text="Minutes without a reading before it is told.")
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["place", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["sensor"],
                condition=Q(until__isnull=True),
                name="sensor_in_one_kiln",
                violation_error_message="This sensor already stands in a kiln.",
            ),
        ]

    def __str__(self):
        return f"{self.sensor} in {self.kiln}"

"""People who log in, and the one-time links that let them in."""

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils import timezone


class Role(models.TextChoices):
    OWNER = "owner", "Owner"
    HAND = "hand", "Hand"
    VIEWER = "viewer", "Viewer"


class Units(models.TextChoices):
    IMPERIAL = "imperial", "Inches, feet, pounds, °F"
    METRIC = "metric", "Millimetres, metres, kilograms, °C"


class Theme(models.TextChoices):
    AUTO = "", "As the device"
    LIGHT = "light", "Light"
    DARK = "dark", "Dark"


class Person(AbstractUser):
    """Somebody who logs in: an owner does everything, a hand works the wood, a viewer looks."""

    role = models.CharField(max_length=10, choices=Role, default=Role.VIEWER)
    units = models.CharField(
        max_length=10, choices=Units, blank=True, help_text="Empty: as the yard's setting."
    )
    theme = models.CharField(max_length=10, choices=Theme, blank=True)

    class Meta:
        verbose_name_plural = "people"
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="person_role_known"),
        ]

    def __str__(self):
        return self.get_full_name() or self.username


class Invite(models.Model):
    """A link that works once: whoever opens it chooses a name and a password."""

    token_hash = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=10, choices=Role)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    used_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    def __str__(self):
        return f"{self.get_role_display()} link of {self.made_at:%Y-%m-%d}"

    @property
    def is_open(self) -> bool:
        return self.used_at is None and self.withdrawn_at is None and self.expires_at > timezone.now()

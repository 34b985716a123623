"""What a buyer likes to be told of."""

from django.db import models

from yard.models import SlabKind
from yard.models.base import Edited


class Wish(Edited):
    """An empty field asks for nothing. Closed when the buyer has it or wants it no more."""

    buyer = models.ForeignKey("yard.Contact", on_delete=models.CASCADE, related_name="wishes")
    words = models.CharField(max_length=200, blank=True)
    species_key = models.CharField(max_length=60, blank=True)
    quarters = models.FloatField(null=True, blank=True)
    kind = models.CharField(max_length=10, choices=SlabKind, blank=True)
    min_width_in = models.FloatField(null=True, blank=True)
    length_in = models.FloatField(null=True, blank=True, help_text="At least.")
    grade = models.CharField(max_length=20, blank=True)
    figure = models.CharField(max_length=60, blank=True)
    target_mc_pct = models.FloatField(null=True, blank=True)
    bf_wanted = models.FloatField(null=True, blank=True)
    tell_by_email = models.BooleanField(default=False)
    told_at = models.DateTimeField(null=True, blank=True)
    told_of = models.JSONField(default=list, blank=True, help_text="Slabs that the buyer was told of, by id.")
    telling_since = models.DateTimeField(null=True, blank=True, help_text="A message to the buyer is on its way.")
    trouble = models.CharField(max_length=200, blank=True, help_text="Why the last message did not go out.")
    trouble_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-id"]

    def __str__(self):
        return self.words or f"Wish {self.pk}"

"""Prices by what the wood is, and charges for work on other people's wood."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from yard.models import SlabKind
from yard.models.base import Edited


class PriceOf(models.TextChoices):
    WOOD = "wood", "Wood"
    DRYING = "drying", "Drying"
    PLANING = "planing", "Planing"
    SANITISING = "sanitising", "Sanitising"


class Per(models.TextChoices):
    BF = "bf", "a board foot"
    SLAB = "slab", "a piece"
    SUM = "sum", "for all of it"


class PriceRuleQuerySet(models.QuerySet):
    def valid_on(self, day):
        """Rules that hold on a day; of two alike the one from the later date counts, which the service chooses."""
        return self.filter(valid_from__lte=day).filter(Q(ended_on__isnull=True) | Q(ended_on__gt=day))


class PriceRule(Edited):
    """One price: an empty field asks for nothing, and the rule that asks for most wins.

    Widths and lengths are classes: from this size on, and under that one.
    """

    ANY_FIGURE = "*"

    what = models.CharField(max_length=12, choices=PriceOf, default=PriceOf.WOOD)
    species_key = models.CharField(max_length=60, blank=True)
    quarters = models.FloatField(null=True, blank=True, validators=[MinValueValidator(1)])
    grade = models.CharField(max_length=20, blank=True)
    kind = models.CharField(max_length=10, choices=SlabKind, blank=True)
    width_from_in = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    width_under_in = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    length_from_in = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    length_under_in = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    figure = models.CharField(max_length=60, blank=True, help_text="A word such as curl, or * for any figure.")
    per = models.CharField(max_length=4, choices=Per, default=Per.BF)
    price = models.DecimalField(max_digits=12, decimal_places=4, validators=[MinValueValidator(0)])
    minimum = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, help_text="The least that a line costs."
    )
    valid_from = models.DateField(db_index=True)
    ended_on = models.DateField(null=True, blank=True, help_text="From this day on it counts no more.")
    note = models.CharField(max_length=200, blank=True)

    objects = PriceRuleQuerySet.as_manager()

    class Meta:
        ordering = ["what", "species_key", "quarters", "valid_from", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(price__gte=0), name="price_rule_not_negative"),
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True) | Q(ended_on__gte=models.F("valid_from")),
                name="price_rule_ends_after_it_starts",
            ),
        ]

    def __str__(self):
        return f"Price rule {self.pk}"

"""One line of an order: wood as asked for, a tagged slab, work on wood, or anything else that is charged."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from yard.models import SlabKind
from yard.models.base import Edited

from .price_rule import Per, PriceOf

__all__ = ["LineKind", "OrderLine", "Per"]


class LineKind(models.TextChoices):
    SLAB = "slab", "A tagged slab"
    ASKED = "asked", "Wood as asked for"
    WORK = "work", "Work on wood"
    OTHER = "other", "Something else"


class OrderLineQuerySet(models.QuerySet):
    def standing(self):
        """Lines that count: not taken off and not replaced."""
        return self.filter(gone_at__isnull=True)


class OrderLine(Edited):
    """What is asked, and what it costs: `total` = quantity x unit price, less the discount, to the cent.

    A line of wood as asked for is answered by slab lines that name it in `answers`; from then on those carry the
    price and its own total is nought. `rule_words` keeps which rule made the price, whatever becomes of the rule.
    """

    order = models.ForeignKey("sales.Order", on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveIntegerField()
    kind = models.CharField(max_length=6, choices=LineKind)
    words = models.CharField(max_length=200, help_text="As it stands on documents.")
    slab = models.ForeignKey("yard.Slab", null=True, blank=True, on_delete=models.PROTECT, related_name="order_lines")
    answers = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.CASCADE, related_name="answered_by",
        help_text="The line of wood as asked for that this slab answers.",
    )  # fmt: skip
    instead_of = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    # as asked for
    species_key = models.CharField(max_length=60, blank=True)
    quarters = models.FloatField(null=True, blank=True)
    slab_kind = models.CharField(max_length=10, choices=SlabKind, blank=True)
    min_width_in = models.FloatField(null=True, blank=True)
    length_in = models.FloatField(null=True, blank=True, help_text="At least.")
    grade = models.CharField(max_length=20, blank=True, help_text="This or better.")
    figure = models.CharField(max_length=60, blank=True)
    matched = models.BooleanField(default=False, help_text="Pieces that lay beside each other in one log.")
    count = models.PositiveIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    bf_wanted = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0.01)])
    target_mc_pct = models.FloatField(null=True, blank=True, validators=[MinValueValidator(4), MaxValueValidator(100)])
    by_date = models.DateField(null=True, blank=True)
    waste_pct = models.FloatField(default=0, validators=[MinValueValidator(0), MaxValueValidator(100)])
    # work
    work = models.CharField(max_length=12, choices=PriceOf, blank=True)
    work_slabs = models.JSONField(default=list, blank=True, help_text="Slabs that the work is charged for, by id.")
    # money
    bf = models.FloatField(null=True, blank=True, help_text="Board feet on the order's basis, rounded as it says.")
    bf_how = models.CharField(max_length=120, blank=True, help_text="Such as: net, measured dry.")
    quantity = models.DecimalField(max_digits=12, decimal_places=3, default=Decimal(1))
    per = models.CharField(max_length=4, choices=Per, default=Per.SUM)
    unit_price = models.DecimalField(max_digits=12, decimal_places=4, default=Decimal(0))
    priced_by_hand = models.BooleanField(default=False)
    rule = models.ForeignKey("sales.PriceRule", null=True, blank=True, on_delete=models.SET_NULL, related_name="lines")
    rule_words = models.CharField(max_length=300, blank=True)
    minimum = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    discount_pct = models.DecimalField(
        max_digits=5, decimal_places=2, default=Decimal(0), validators=[MinValueValidator(0), MaxValueValidator(100)]
    )
    taxed = models.BooleanField(default=True)
    total = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0), editable=False)
    credited_by = models.ForeignKey(
        "sales.Document", null=True, blank=True, on_delete=models.PROTECT, related_name="credited_lines",
        help_text="The credit note that took it off the invoice.",
    )  # fmt: skip
    # what became of it
    picked_at = models.DateTimeField(null=True, blank=True)
    picked_by = models.ForeignKey("yard.Person", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    gone_at = models.DateTimeField(null=True, blank=True)
    gone_because = models.CharField(max_length=200, blank=True)

    objects = OrderLineQuerySet.as_manager()

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(kind="slab") | Q(slab__isnull=False), name="order_line_of_a_slab_names_it"
            ),
            models.UniqueConstraint(
                fields=["order", "slab"], condition=Q(kind="slab") & Q(gone_at__isnull=True),
                name="order_line_slab_once",
            ),
        ]  # fmt: skip

    def __str__(self):
        return self.words

    @property
    def is_priced(self) -> bool:
        """Whether anybody or any rule said what it costs; nought is a price too."""
        return bool(self.rule_words)

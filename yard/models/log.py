"""Logs as taken in."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Lower

from .base import Coded, Edited
from .yard import LogRule


class LogState(models.TextChoices):
    IN_YARD = "in_yard", "In the yard"
    ON_MILL = "on_mill", "On the mill"
    SAWN = "sawn", "Sawn"
    VOID = "void", "Void"


class LogQuerySet(models.QuerySet):
    def waiting(self):
        """Logs that are still to be sawn, the longest-waiting first."""
        return self.filter(state__in=[LogState.IN_YARD, LogState.ON_MILL]).order_by("arrived_on", "id")

    def standing(self):
        return self.exclude(state=LogState.VOID)

    def ours(self):
        return self.filter(owner__isnull=True)


class Log(Coded, Edited):
    """A log: diameters inside bark in inches, length in feet; the ticket's rule is fixed with it."""

    tag = models.CharField(max_length=30)
    species_key = models.CharField(max_length=60, db_index=True)
    owner = models.ForeignKey(
        "yard.Contact",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="logs_owned",
        help_text="Empty: the wood is ours.",
    )
    supplier = models.ForeignKey(
        "yard.Contact", null=True, blank=True, on_delete=models.PROTECT, related_name="logs_supplied"
    )
    where_from = models.CharField(max_length=160, blank=True)
    felled_on = models.DateField(null=True, blank=True)
    arrived_on = models.DateField()
    sawn_on = models.DateField(null=True, blank=True)
    small_end_in = models.FloatField(validators=[MinValueValidator(1), MaxValueValidator(120)])
    large_end_in = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(120)]
    )
    length_ft = models.FloatField(validators=[MinValueValidator(1), MaxValueValidator(80)])
    defect_pct = models.FloatField(default=0, validators=[MinValueValidator(0), MaxValueValidator(100)])
    defect_note = models.CharField(max_length=300, blank=True)
    rule = models.CharField(max_length=20, choices=LogRule)
    doyle_bf = models.FloatField(null=True, editable=False)
    scribner_bf = models.FloatField(null=True, editable=False)
    international_bf = models.FloatField(null=True, editable=False)
    cubic_ft3 = models.FloatField(null=True, editable=False)
    cost = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    ends_sealed_on = models.DateField(null=True, blank=True)
    kerf_in = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(1)]
    )
    state = models.CharField(max_length=10, choices=LogState, default=LogState.IN_YARD, db_index=True)
    void_reason = models.CharField(max_length=200, blank=True)
    note = models.TextField(blank=True)

    objects = LogQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("tag"), name="log_tag_once", violation_error_message="Another log has this tag."
            ),
            models.CheckConstraint(
                condition=models.Q(small_end_in__gt=0) & models.Q(length_ft__gt=0), name="log_has_size"
            ),
        ]
        indexes = [
            models.Index(fields=["state", "arrived_on"], name="log_state_arrived"),
            models.Index(fields=["-arrived_on", "-id"], name="log_newest"),
        ]

    def __str__(self):
        return self.tag

    @property
    def gross_scale_bf(self) -> float | None:
        """The scale by the ticket's rule before the defect deduction."""
        return {
            LogRule.DOYLE: self.doyle_bf,
            LogRule.SCRIBNER: self.scribner_bf,
            LogRule.INTERNATIONAL: self.international_bf,
        }[LogRule(self.rule)]

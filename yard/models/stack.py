"""Stacks, who is in them (membership) and where they stand (stay), as intervals of time."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from .base import Coded, Edited


class StackQuerySet(models.QuerySet):
    def standing(self):
        """Stacks that have not been taken down."""
        return self.filter(taken_down_at__isnull=True)


class Stack(Coded, Edited):
    """A stickered pile that stands and moves as one."""

    tag = models.CharField(max_length=30)
    built_on = models.DateField()
    taken_down_at = models.DateTimeField(null=True, blank=True)
    sticker_in = models.FloatField(default=0.75, validators=[MinValueValidator(0.25), MaxValueValidator(4)])
    sticker_width_in = models.FloatField(
        default=1.25, validators=[MinValueValidator(0.25), MaxValueValidator(6)]
    )
    sticker_spacing_in = models.FloatField(
        default=16, validators=[MinValueValidator(4), MaxValueValidator(60)]
    )
    width_ft = models.FloatField(default=4, validators=[MinValueValidator(0.5), MaxValueValidator(20)])
    length_ft = models.FloatField(default=8, validators=[MinValueValidator(1), MaxValueValidator(60)])
    covered = models.BooleanField(default=False)
    top_weight_lb = models.FloatField(default=0, validators=[MinValueValidator(0)])
    target_mc_pct = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(4), MaxValueValidator(35)],
        help_text="Empty: the yard's kiln target.",
    )
    note = models.TextField(blank=True)
    # The bay it stands in today, written only by the stack service together with the stay that says the same.
    bay = models.ForeignKey(
        "yard.Bay", null=True, blank=True, on_delete=models.PROTECT, related_name="stacks_now", editable=False
    )

    objects = StackQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("tag"), name="stack_tag_once", violation_error_message="Another stack has this tag."
            ),
        ]
        indexes = [models.Index(fields=["taken_down_at", "-built_on"], name="stack_standing")]

    def __str__(self):
        return self.tag


class Cohort(models.Model):
    """The slabs of one stack alike in species, thickness and start: what an estimate is made for.

    `came_from` is the cohort that these slabs made in an earlier stack: its air and its observations up to
    `joined_at` belong to this cohort's past.
    """

    stack = models.ForeignKey(Stack, on_delete=models.PROTECT, related_name="cohorts")
    species_key = models.CharField(max_length=60)
    thickness_in = models.FloatField()
    started_on = models.DateField(help_text="The day it was sawn: drying starts here.")
    joined_at = models.DateTimeField()
    left_at = models.DateTimeField(null=True, blank=True)
    came_from = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="went_to"
    )
    start_mc_pct = models.FloatField(null=True, blank=True, help_text="Empty: the species' green average.")
    estimate = models.ForeignKey(
        "yard.Estimate",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="+",
        editable=False,
        help_text="The newest estimate.",
    )
    stale_since = models.DateTimeField(
        null=True,
        blank=True,
        db_index=True,
        help_text="Something arrived that the newest estimate has not seen.",
    )

    class Meta:
        indexes = [
            models.Index(fields=["left_at", "stack"], name="cohort_standing"),
            models.Index(fields=["species_key", "thickness_in"], name="cohort_alike"),
        ]

    def __str__(self):
        return f"{self.stack} {self.species_key} {self.thickness_in:g} in"


class Membership(models.Model):
    """Which slab was in which stack, from `since` until `until` (open: still). Half-open: [since, until)."""

    slab = models.ForeignKey("yard.Slab", on_delete=models.PROTECT, related_name="memberships")
    stack = models.ForeignKey(Stack, on_delete=models.PROTECT, related_name="memberships")
    cohort = models.ForeignKey(Cohort, on_delete=models.PROTECT, related_name="memberships")
    course = models.PositiveIntegerField(null=True, blank=True, help_text="1 is the bottom course.")
    place = models.PositiveIntegerField(null=True, blank=True, help_text="Place in the course.")
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["slab"],
                condition=Q(until__isnull=True),
                name="slab_in_one_stack",
                violation_error_message="This slab is already in a stack.",
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="membership_runs_forward"
            ),
        ]
        indexes = [models.Index(fields=["stack", "until"], name="membership_of_stack")]

    def __str__(self):
        return f"{self.slab} in {self.stack}"


class Stay(models.Model):
    """Which stack stood in which bay, from `since` until `until` (open: still). Half-open: [since, until)."""

    stack = models.ForeignKey(Stack, on_delete=models.PROTECT, related_name="stays")
    bay = models.ForeignKey("yard.Bay", on_delete=models.PROTECT, related_name="stays")
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["stack"],
                condition=Q(until__isnull=True),
                name="stack_in_one_bay",
                violation_error_message="This stack already stands in a bay.",
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="stay_runs_forward"
            ),
        ]
        indexes = [models.Index(fields=["bay", "until"], name="stay_of_bay")]

    def __str__(self):
        return f"{self.stack} at {self.bay}"

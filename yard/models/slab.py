"""Slabs: any tagged piece sawn from a log, or a lot of untagged boards under one tag."""

import uuid

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from .base import Coded, Edited


class SlabKind(models.TextChoices):
    LIVE_EDGE = "live_edge", "Live-edge slab"
    BOARD = "board", "Board"
    BEAM = "beam", "Beam"
    BLANK = "blank", "Blank"
    LOT = "lot", "Lot of boards"


class SlabState(models.TextChoices):
    SAWN = "sawn", "Sawn, not stacked"
    STACKED = "stacked", "Drying in a stack"
    KILN = "kiln", "In the kiln"
    DRY = "dry", "Dry"
    SOLD = "sold", "Sold"
    RETURNED = "returned", "Handed back"
    SPLIT = "split", "Split up"
    VOID = "void", "Void"


GONE = [SlabState.SOLD, SlabState.RETURNED, SlabState.SPLIT, SlabState.VOID]


class WidthBasis(models.TextChoices):
    NARROW_FACE = "narrow_face", "Narrow face, inside bark"
    MEAN_FACES = "mean_faces", "Mean of both faces"
    EDGED = "edged", "Edged, full width"


class SlabQuerySet(models.QuerySet):
    def standing(self):
        """Pieces that are in the yard today."""
        return self.exclude(state__in=GONE)

    def ours(self):
        return self.filter(owner__isnull=True)

    def not_stickered(self):
        """Green wood that lies about: sawn, in no stack."""
        return self.filter(state=SlabState.SAWN)

    def loose(self):
        """Pieces in the yard that are in no stack, green or dry."""
        return self.filter(stack__isnull=True, state__in=[SlabState.SAWN, SlabState.DRY])

    def drying(self):
        return self.filter(state__in=[SlabState.STACKED, SlabState.KILN])

    def for_sale(self):
        return self.ours().filter(state=SlabState.DRY, hold_back=False)


class Slab(Coded, Edited):
    """A piece: sawn sizes in inches; `widths_in` lists widths at equal stations from butt to top.

    A lot keeps `tally`: a list of {"width_in", "length_in", "count"}; its `count` is their sum. The slab
    service works out `mean_width_in`, `narrowest_in`, `area_in2` (one face, of all pieces) and `green_bf`
    when it saves the sizes. `net_bf` is the dry tally, set when the piece has been measured or finished dry.
    """

    tag = models.CharField(max_length=30)
    client_key = models.UUIDField(
        unique=True, default=uuid.uuid4, editable=False, help_text="The same piece sent twice is one piece."
    )
    log = models.ForeignKey(
        "yard.Log",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="slabs",
        help_text="Empty: bought in as sawn wood.",
    )
    position = models.PositiveIntegerField(
        null=True, blank=True, help_text="Place in the log in sawing order, 1 first."
    )
    split_from = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="split_into"
    )
    species_key = models.CharField(max_length=60)
    owner = models.ForeignKey(
        "yard.Contact",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="slabs",
        help_text="Empty: the wood is ours.",
    )
    kind = models.CharField(max_length=10, choices=SlabKind, default=SlabKind.LIVE_EDGE)
    count = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    quarters = models.FloatField(help_text="Nominal thickness in quarters of an inch: 8 for 8/4.")
    thickness_in = models.FloatField(validators=[MinValueValidator(0.1), MaxValueValidator(24)])
    widths_in = models.JSONField(default=list, blank=True)
    tally = models.JSONField(default=list, blank=True)
    length_in = models.FloatField(validators=[MinValueValidator(1), MaxValueValidator(960)])
    width_basis = models.CharField(max_length=12, choices=WidthBasis, default=WidthBasis.NARROW_FACE)
    area_rule = models.CharField(
        max_length=10, choices=[("trapezoid", "Trapezoid"), ("simpson", "Simpson")], default="trapezoid"
    )
    mean_width_in = models.FloatField(default=0, editable=False)
    narrowest_in = models.FloatField(default=0, editable=False)
    area_in2 = models.FloatField(default=0, editable=False)
    green_bf = models.FloatField(default=0, editable=False)
    dry_thickness_in = models.FloatField(null=True, blank=True)
    dry_widths_in = models.JSONField(default=list, blank=True)
    dry_length_in = models.FloatField(null=True, blank=True)
    dry_mc_pct = models.FloatField(null=True, blank=True, help_text="MC measured when it was called dry.")
    dry_on = models.DateField(null=True, blank=True)
    net_bf = models.FloatField(null=True, editable=False)
    grade = models.CharField(max_length=20, blank=True)
    figure = models.CharField(max_length=60, blank=True, help_text="Such as curl, crotch, spalt, quilt.")
    has_crotch = models.BooleanField(default=False)
    has_wane = models.BooleanField(default=False)
    has_knots = models.BooleanField(default=False)
    has_checks = models.BooleanField(default=False)
    has_pith = models.BooleanField(default=False)
    matched_set = models.CharField(
        max_length=30, blank=True, help_text="Pieces of one set keep their order in the log."
    )
    sawn_on = models.DateField(db_index=True)
    ends_sealed_on = models.DateField(null=True, blank=True)
    state = models.CharField(max_length=10, choices=SlabState, default=SlabState.SAWN)
    void_reason = models.CharField(max_length=200, blank=True)
    price = models.DecimalField(
        max_digits=10,
        decimal_places=2,
        null=True,
        blank=True,
        help_text="A price of its own, for the whole piece.",
    )
    hold_back = models.BooleanField(default=False, help_text="Not for sale.")
    note = models.TextField(blank=True)
    # Where it is today, written only by the stack service together with the membership that says the same.
    stack = models.ForeignKey(
        "yard.Stack",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="slabs_now",
        editable=False,
    )
    cohort = models.ForeignKey(
        "yard.Cohort",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="slabs_now",
        editable=False,
        help_text="The cohort it dries or last dried in.",
    )
    bay = models.ForeignKey(
        "yard.Bay",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="loose_slabs",
        help_text="Where a piece lies that is in no stack.",
    )

    objects = SlabQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("tag"), name="slab_tag_once", violation_error_message="Another slab has this tag."
            ),
            models.UniqueConstraint(
                fields=["log", "position"],
                condition=~models.Q(state="void") & models.Q(position__isnull=False),
                name="slab_place_in_log_once",
            ),
            models.CheckConstraint(
                condition=models.Q(thickness_in__gt=0) & models.Q(length_in__gt=0) & models.Q(count__gte=1),
                name="slab_has_size",
            ),
        ]
        indexes = [
            models.Index(fields=["-sawn_on", "-id"], name="slab_newest"),
            models.Index(fields=["state", "-sawn_on", "-id"], name="slab_state_newest"),
            models.Index(fields=["species_key", "-sawn_on", "-id"], name="slab_species_newest"),
            models.Index(fields=["quarters", "-sawn_on", "-id"], name="slab_quarters_newest"),
            models.Index(fields=["mean_width_in"], name="slab_width"),
            models.Index(fields=["length_in"], name="slab_length"),
            models.Index(fields=["price"], name="slab_price"),
            models.Index(fields=["matched_set"], name="slab_set"),
            # Most wood is the yard's own: an index over all owners would tell a database little.
            models.Index(fields=["owner", "state"], condition=Q(owner__isnull=False), name="slab_of_owner"),
        ]

    def __str__(self):
        return self.tag

    @property
    def is_gone(self) -> bool:
        return self.state in GONE

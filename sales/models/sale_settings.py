"""How the yard sells: one row."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from yard.models import WidthBasis
from yard.models.base import Edited

from .order import FootageBasis, FootageRounding


class SaleSettings(Edited):
    """Habits that new orders start from, and what strangers may see. There is one row, with primary key 1."""

    public_open = models.BooleanField(default=False, help_text="Anybody may see the page of wood for sale.")
    public_prices = models.BooleanField(default=False, help_text="With prices.")
    public_words = models.TextField(blank=True, help_text="Shown above the list.")
    public_contact = models.CharField(max_length=200, blank=True, help_text="How to reach the yard.")
    quote_prefix = models.CharField(max_length=8, default="Q-", blank=True)
    order_prefix = models.CharField(max_length=8, default="", blank=True)
    delivery_prefix = models.CharField(max_length=8, default="D-", blank=True)
    invoice_prefix = models.CharField(max_length=8, default="I-", blank=True)
    credit_prefix = models.CharField(max_length=8, default="C-", blank=True)
    quote_days = models.PositiveIntegerField(
        default=30, validators=[MinValueValidator(1), MaxValueValidator(365)], help_text="How long a quote holds."
    )
    pay_days = models.PositiveIntegerField(
        default=14, validators=[MaxValueValidator(365)], help_text="Days from the invoice until it is due."
    )
    quotes_hold = models.BooleanField(default=True, help_text="A quote holds its slabs until its last day.")
    basis = models.CharField(max_length=6, choices=FootageBasis, default=FootageBasis.NET)
    rounding = models.CharField(max_length=10, choices=FootageRounding, default=FootageRounding.TENTH)
    width_basis = models.CharField(max_length=12, choices=WidthBasis, default=WidthBasis.NARROW_FACE)
    mc_how = models.CharField(max_length=120, default="pin meter at a third of the thickness", blank=True)
    quote_terms = models.TextField(blank=True)
    invoice_terms = models.TextField(blank=True)
    address = models.TextField(blank=True, help_text="The yard's address, as it stands on documents.")
    tax_words = models.CharField(max_length=80, blank=True, help_text="Such as the yard's tax number.")

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="sale_settings_are_one_row")]
        verbose_name_plural = "sale settings"

    def __str__(self):
        return "How the yard sells"

    def save(self, *args, **kwargs):
        self.pk = 1
        super().save(*args, **kwargs)

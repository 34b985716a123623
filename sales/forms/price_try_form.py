"""What a price is tried out for."""

from typing import Any

from django import forms
from django.utils import timezone

from sales.forms.wood_fields import KindField, QuartersField
from sales.models import PriceOf
from sales.services.price_book import Wood
from yard.forms.dates import DateField
from yard.forms.quantity_fields import LengthInField, WidthField
from yard.forms.species_field import SpeciesField


class PriceTryForm(forms.Form):
    """Wood as it might come: what is left open meets no rule that asks for it."""

    what = forms.ChoiceField(label="A price for", choices=PriceOf.choices, initial=PriceOf.WOOD)
    species_key = SpeciesField(label="Species", required=False)
    quarters = QuartersField(label="Thickness")
    kind = KindField(label="Kind")
    width_in = WidthField(label="Width, dry", required=False, low=0.5, high=200)
    length_in = LengthInField(label="Length", required=False, low=1, high=960)
    grade = forms.CharField(label="Grade", max_length=20, required=False)
    figure = forms.CharField(label="Figure", max_length=60, required=False)
    count = forms.IntegerField(label="Pieces", min_value=1, max_value=9999, initial=1)
    on = DateField(label="On", initial=timezone.localdate)

    def wood(self) -> Wood:
        """What the rules ask about it."""
        data: dict[str, Any] = self.cleaned_data
        return Wood(
            data["species_key"] or "", data["quarters"], data["grade"].strip(), data["kind"], data["width_in"],
            data["length_in"], data["figure"].strip(),
        )  # fmt: skip

"""What a buyer likes to be told of."""

from typing import Any

from django import forms

from sales.forms.wood_fields import KindField, QuartersField
from sales.models import Wish
from yard.forms.quantity_fields import LengthInField, MoistureField, WidthField
from yard.forms.species_field import SpeciesField
from yard.forms.versioned import VersionedForm


class WishForm(forms.Form):
    """What is left open may be any."""

    species_key = SpeciesField(label="Species", required=False)
    quarters = QuartersField(label="Thickness")
    kind = KindField(label="Kind")
    min_width_in = WidthField(label="At least wide", low=0.5, high=200, required=False)
    length_in = LengthInField(label="At least long", low=1, high=960, required=False)
    grade = forms.CharField(label="Grade, or better", max_length=20, required=False)
    figure = forms.CharField(label="Figure", max_length=60, required=False, help_text="A word, or * for any.")
    target_mc_pct = MoistureField(label="MC at most", low=4, high=100, required=False)
    bf_wanted = forms.FloatField(
        label="Board feet", min_value=0.1, max_value=1e6, required=False,
        help_text="Told only once so much is ready; empty: of every piece.",
    )  # fmt: skip
    words = forms.CharField(label="In their words", max_length=200, required=False)
    tell_by_email = forms.BooleanField(
        label="Tell them by e-mail when it is ready", required=False, help_text="Only if they asked for it."
    )

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        return {name: self.cleaned_data[name] for name in WishForm.base_fields}


class WishEditForm(WishForm, VersionedForm):
    """The same of a wish that is there."""


def wish_values(wish: Wish) -> dict[str, Any]:
    """A wish as the form shows it."""
    return {name: getattr(wish, name) for name in WishEditForm.base_fields}

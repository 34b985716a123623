"""Price rules: for what wood, how much, from when."""

from typing import Any

from django import forms
from django.utils import timezone

from sales.forms.wood_fields import KindField, QuartersField
from sales.models import Per, PriceOf, PriceRule
from yard.forms.dates import DateField
from yard.forms.money_field import MoneyField
from yard.forms.quantity_fields import LengthInField, WidthField
from yard.forms.species_field import SpeciesField
from yard.forms.versioned import VersionedForm

PER_CHOICES = [(Per.BF, "a board foot"), (Per.SLAB, "a piece")]


class PriceRuleForm(forms.Form):
    """What is left empty asks for nothing: such a rule is for any."""

    what = forms.ChoiceField(label="A price for", choices=PriceOf.choices, initial=PriceOf.WOOD)
    species_key = SpeciesField(label="Species", required=False)
    quarters = QuartersField(label="Thickness")
    kind = KindField(label="Kind")
    grade = forms.CharField(label="Grade", max_length=20, required=False)
    figure = forms.CharField(
        label="Figure", max_length=60, required=False, help_text="A word such as curl; * for any figure."
    )
    width_from_in = WidthField(label="Width from", required=False, low=0, high=200)
    width_under_in = WidthField(label="Width under", required=False, low=0, high=200)
    length_from_in = LengthInField(label="Length from", required=False, low=0, high=960)
    length_under_in = LengthInField(label="Length under", required=False, low=0, high=960)
    price = MoneyField(label="Price")
    per = forms.ChoiceField(label="for", choices=PER_CHOICES, initial=Per.BF)
    minimum = MoneyField(label="At least", required=False, help_text="The least that a line costs.")
    valid_from = DateField(label="Counts from", initial=timezone.localdate)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class PriceRuleEditForm(VersionedForm, PriceRuleForm):
    """A rule by which nothing was priced yet."""


class PriceFollowForm(VersionedForm):
    """Another price for the same wood, from a day on."""

    price = MoneyField(label="New price")
    minimum = MoneyField(label="At least", required=False)
    valid_from = DateField(label="From", initial=timezone.localdate)
    note = forms.CharField(label="Note", max_length=200, required=False)


class PriceEndForm(VersionedForm):
    """From when a rule counts no more."""

    on = DateField(label="Counts no more from", initial=timezone.localdate)


class PriceFiltersForm(forms.Form):
    """Everything may stay empty."""

    what = forms.ChoiceField(label="For", choices=[("", "Everything"), *PriceOf.choices], required=False)
    species_key = SpeciesField(label="Species", required=False)
    past = forms.BooleanField(label="Ended ones, too", required=False)

    def asked(self) -> dict[str, Any]:
        """What `price_rules` takes."""
        self.is_valid()
        data = self.cleaned_data
        return {
            "what": data.get("what", ""), "species_key": data.get("species_key", ""), "past": bool(data.get("past"))
        }  # fmt: skip


def rule_values(rule: PriceRule) -> dict[str, Any]:
    """A rule's values as the edit form shows them."""
    return {name: getattr(rule, name) for name in (*PriceRuleForm.base_fields, "version")}

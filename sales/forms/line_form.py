"""Lines of an order: slabs by tag, wood as asked for, work, anything else, and what a line costs."""

from decimal import Decimal
from typing import Any

from django import forms

from sales.forms.wood_fields import KindField, QuartersField
from sales.models import OrderLine, Per, PriceOf
from yard.forms.dates import DateField
from yard.forms.money_field import MoneyField
from yard.forms.quantity_fields import LengthInField, MoistureField, PercentField, WidthField
from yard.forms.species_field import SpeciesField
from yard.forms.versioned import VersionedForm
from yard.services.typed_slabs import TypedSlabs, slabs_typed

PER_CHOICES = [(Per.SUM, "all of it"), (Per.SLAB, "a piece"), (Per.BF, "a board foot")]


class SlabsAddForm(forms.Form):
    """Slabs by their tags, codes or scanned labels, in any number."""

    slabs = forms.CharField(
        label="Slabs", max_length=8000,
        widget=forms.Textarea(attrs={"rows": 2, "autocomplete": "off", "spellcheck": "false"}),
        help_text="Tags or codes, one after another; scanned labels, too.",
    )  # fmt: skip

    typed: TypedSlabs

    def clean_slabs(self) -> str:
        text = self.cleaned_data["slabs"]
        self.typed = slabs_typed(text)
        if self.typed.unknown:
            raise forms.ValidationError(f"Nothing here has the tag or code {', '.join(self.typed.unknown[:5])}.")
        return text


class AskedForm(forms.Form):
    """Wood as a buyer asks for it; what is left open may be any."""

    count = forms.IntegerField(label="How many pieces", min_value=1, max_value=9999, required=False)
    bf_wanted = forms.FloatField(label="or how many board feet", min_value=0.1, max_value=1e6, required=False)
    species_key = SpeciesField(label="Species")
    quarters = QuartersField(label="Thickness")
    slab_kind = KindField(label="Kind")
    min_width_in = WidthField(label="At least wide", low=0.5, high=200, required=False)
    length_in = LengthInField(label="At least long", low=1, high=960, required=False)
    grade = forms.CharField(label="Grade, or better", max_length=20, required=False)
    figure = forms.CharField(label="Figure", max_length=60, required=False)
    matched = forms.BooleanField(label="Matched: pieces that lay beside each other in one log", required=False)
    target_mc_pct = MoistureField(label="MC at most", low=4, high=100, required=False)
    by_date = DateField(label="By", required=False)
    waste_pct = PercentField(label="Waste to allow for", low=0, high=100, required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not self.errors and not data.get("count") and not data.get("bf_wanted"):
            self.add_error("count", "How many pieces, or how many board feet?")
        return data

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        return self.cleaned_data | {"waste_pct": self.cleaned_data["waste_pct"] or 0.0}


class OtherForm(forms.Form):
    """Anything else that is charged."""

    words = forms.CharField(label="What", max_length=200, help_text="Such as haulage, or cutting to length.")
    quantity = forms.DecimalField(
        label="How many", min_value=Decimal("0.001"), max_digits=12, decimal_places=3, initial=1
    )
    unit_price = MoneyField(label="Price")
    per = forms.ChoiceField(
        label="for", choices=[(Per.SUM, "all of it"), (Per.SLAB, "a piece"), (Per.BF, "a board foot")]
    )
    taxed = forms.BooleanField(label="With tax", required=False, initial=True)


class WorkForm(forms.Form):
    """Which work is charged."""

    work = forms.ChoiceField(label="Work", choices=[one for one in PriceOf.choices if one[0] != PriceOf.WOOD])


class LineForm(VersionedForm):
    """What a line says and costs."""

    words = forms.CharField(label="As it stands on documents", max_length=200)
    unit_price = MoneyField(label="Price", required=False, help_text="Empty: by the price list.")
    discount_pct = forms.DecimalField(label="Discount, %", min_value=0, max_value=100, max_digits=5, decimal_places=2)
    taxed = forms.BooleanField(label="With tax", required=False)


class ReplaceForm(forms.Form):
    """Another slab instead, and why."""

    slab = forms.CharField(label="The other slab's tag or code", max_length=200)
    because = forms.CharField(label="Why", max_length=200)

    def clean_slab(self) -> Any:
        typed = slabs_typed(self.cleaned_data["slab"])
        if typed.unknown or len(typed.slabs) != 1:
            raise forms.ValidationError("Give the tag or code of one slab.")
        return typed.slabs[0]


def line_values(line: OrderLine) -> dict[str, Any]:
    """A line's values as its form shows them."""
    return {name: getattr(line, name) for name in LineForm.base_fields}

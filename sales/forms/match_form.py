"""A buyer's request: in a sentence, or field by field."""

from typing import Any

from django import forms

from sales.forms.line_form import AskedForm
from sales.forms.order_form import BuyerChoiceField
from sales.services.matching import Wanted
from yard.forms.species_field import SpeciesField


class SentenceForm(forms.Form):
    """The request as the buyer said it."""

    words = forms.CharField(
        label="What the buyer asks for", max_length=400, required=False,
        widget=forms.TextInput(attrs={"placeholder": "two 8/4 walnut slabs over 20 in wide, 8 ft, at 8%, by March"}),
    )  # fmt: skip


class MatchForm(AskedForm):
    """The request field by field; of any wood where none is named."""

    species_key = SpeciesField(label="Species", required=False)

    def wanted(self) -> Wanted:
        """What the service looks for."""
        return Wanted(**self.values())


class MatchOrderForm(forms.Form):
    """Whose request it is."""

    buyer = BuyerChoiceField(label="Who asks", required=False, empty_label="Somebody new")
    new_name = forms.CharField(label="Name of somebody new", max_length=120, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["buyer"].fill()

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not self.errors and bool(data.get("buyer")) == bool(data.get("new_name")):
            self.add_error("buyer", "Choose who asks, or type a new name.")
        return data

"""What of an invoice is credited, and why."""

from typing import Any

from django import forms

from sales.services.credit_notes import InvoicedLine
from yard.forms.versioned import VersionedForm


class CreditForm(VersionedForm):
    """Lines that are ticked, or the whole invoice by the other button."""

    places = forms.TypedMultipleChoiceField(
        label="Lines", required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )
    reason = forms.CharField(label="Why", max_length=200, help_text="It stands on the credit note.")

    def __init__(self, lines: list[InvoicedLine], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["places"].choices = [(line.place, line.words) for line in lines]

    def ticked(self) -> set[str]:
        """Places that are ticked, as the page marks them again."""
        return set(self.data.getlist("places")) if self.is_bound else set()

    def values(self) -> dict[str, Any]:
        """What the service takes; the other button credits all that is left."""
        data = self.cleaned_data
        return {
            "places": None if "whole" in self.data else data["places"], "reason": data["reason"],
            "version": data["version"],
        }  # fmt: skip

"""What the list of stacks can be narrowed to."""

from typing import Any

from django import forms

from yard.forms.species_field import SpeciesField
from yard.forms.stack_form import BayChoice

STATES = [("standing", "Standing"), ("down", "Taken down"), ("all", "All")]
READY = [
    ("", "Any"),
    ("now", "Ready now"),
    ("soon", "Ready within 30 days"),
    ("later", "Later"),
    ("unknown", "Not estimated yet"),
]
ORDERS = [
    ("newest", "Newest"),
    ("oldest", "Longest standing"),
    ("ready", "Ready first"),
    ("driest", "Driest"),
    ("wettest", "Wettest"),
    ("bay", "Bay"),
    ("tag", "Tag"),
]


class StackFiltersForm(forms.Form):
    """Everything may stay empty."""

    q = forms.CharField(label="Find", required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"}))
    species = SpeciesField(label="Species", required=False)
    bay = BayChoice(label="Bay", required=False, empty_label="Any")
    ready = forms.ChoiceField(label="Ready", choices=READY, required=False)
    state = forms.ChoiceField(label="State", choices=STATES, required=False)
    order = forms.ChoiceField(label="Order", choices=ORDERS, required=False)

    def asked(self) -> dict[str, Any]:
        """What `stacks_found` takes; a filter that cannot be read is left out."""
        self.is_valid()
        data = self.cleaned_data
        return {
            "state": data.get("state") or "standing",
            "words": data.get("q", ""),
            "species_key": data.get("species", ""),
            "bay": data["bay"].pk if data.get("bay") else None,
            "ready": data.get("ready", ""),
            "order": data.get("order", ""),
        }

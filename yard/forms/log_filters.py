"""What the list of logs can be narrowed to."""

from django import forms

from yard.forms.species_field import SpeciesField

STATES = [("waiting", "To be sawn"), ("sawn", "Sawn"), ("all", "All"), ("void", "Void")]
WHOSE = [("", "Anybody's"), ("ours", "Ours"), ("others", "Dried for others")]
ORDERS = [
    ("", "As usual"),
    ("oldest", "Longest here"),
    ("newest", "Newest"),
    ("largest", "Most footage"),
    ("thickest", "Thickest"),
    ("species", "Species"),
    ("tag", "Tag"),
]


class LogFiltersForm(forms.Form):
    """Everything may stay empty."""

    q = forms.CharField(label="Find", required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"}))
    species = SpeciesField(label="Species", required=False)
    state = forms.ChoiceField(label="State", choices=STATES, required=False)
    whose = forms.ChoiceField(label="Whose wood", choices=WHOSE, required=False)
    order = forms.ChoiceField(label="Order", choices=ORDERS, required=False)

    def asked(self) -> dict[str, str]:
        """What `logs_found` takes; a filter that cannot be read is left out."""
        self.is_valid()
        data = self.cleaned_data
        return {
            "state": data.get("state") or "waiting",
            "words": data.get("q", ""),
            "species_key": data.get("species", ""),
            "whose": data.get("whose", ""),
            "order": data.get("order", ""),
        }

"""What of the ready list to show."""

from django import forms

from yard.forms.species_field import SpeciesField
from yard.models import Bay
from yard.services.ready_list import TARGET_CHOICES, Wanted

SORT_WORDS = [("date", "By date"), ("mc", "Driest first"), ("stack", "By stack"), ("species", "By species")]
QUARTERS = [4, 5, 6, 8, 10, 12, 16]


class ReadyForm(forms.Form):
    """Everything may stay empty."""

    target = forms.ChoiceField(
        label="Target", required=False,
        choices=[("", "Each stack's own"), *[(f"{pct:g}", f"{pct:g}%") for pct in TARGET_CHOICES]],
    )  # fmt: skip
    species = SpeciesField(label="Species", required=False)
    quarters = forms.ChoiceField(
        label="Thickness", required=False, choices=[("", "Any"), *[(str(q), f"{q}/4") for q in QUARTERS]]
    )
    bay = forms.ModelChoiceField(
        label="Bay", required=False, queryset=Bay.objects.filter(closed_on__isnull=True), empty_label="Anywhere"
    )
    sort = forms.ChoiceField(label="Order", required=False, choices=SORT_WORDS)

    def wanted(self) -> Wanted:
        """What the list service takes; a filter that cannot be read is left out, and said."""
        self.is_valid()
        data = self.cleaned_data
        return Wanted(
            target_pct=float(data["target"]) if data.get("target") else None,
            species_key=data.get("species") or "",
            quarters=float(data["quarters"]) if data.get("quarters") else None,
            bay=data.get("bay"),
            sort=data.get("sort") or "",
        )

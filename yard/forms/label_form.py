"""What to print labels for, and in which size."""

import re
from typing import Any

from django import forms

from yard.models import Log, Stack
from yard.services.label_kinds import KINDS
from yard.services.label_sizes import BY_KEY, grouped

MOST_IDS = 400
USUAL_SIZES = {"imperial": "letter-10", "metric": "a4-8"}


class LabelForm(forms.Form):
    """Reached by a link from a list (`noun` and `ids`, or `log` or `stack`), or filled in by hand."""

    noun = forms.ChoiceField(label="Labels for", required=False)
    ids = forms.CharField(required=False, widget=forms.HiddenInput)
    log = forms.ModelChoiceField(Log.objects.all(), required=False, widget=forms.HiddenInput)
    stack = forms.ModelChoiceField(Stack.objects.all(), required=False, widget=forms.HiddenInput)
    typed = forms.CharField(
        label="Tags or codes",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="One or several, with commas between them, such as L-14-1, L-14-2.",
    )
    size = forms.ChoiceField(label="Size")
    first_place = forms.IntegerField(
        label="First label", min_value=1, max_value=60, initial=1, required=False,
        help_text="On a sheet that is partly used: which place is the first free one, counted row by row.",
    )  # fmt: skip
    copies = forms.IntegerField(label="Copies of each", min_value=1, max_value=20, initial=1, required=False)
    right_mm = forms.FloatField(label="Move to the right, mm", min_value=-15, max_value=15, initial=0, required=False)
    up_mm = forms.FloatField(label="Move up, mm", min_value=-15, max_value=15, initial=0, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["noun"].choices = [(noun, kind.words) for noun, kind in KINDS.items()]
        self.fields["size"].choices = [
            (group, [(size.key, size.words) for size in sizes]) for group, sizes in grouped()
        ]

    def clean_ids(self) -> list[int]:
        found = [int(one) for one in re.findall(r"\d{1,18}", self.cleaned_data["ids"])]
        if len(found) > MOST_IDS:
            raise forms.ValidationError(f"Choose at most {MOST_IDS} at once.")
        return found

    def clean_typed(self) -> list[str]:
        return [word.strip() for word in re.split(r"[,;\n]", self.cleaned_data["typed"]) if word.strip()]

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        noun = data.get("noun") or "slab"
        if data.get("stack") and noun not in ("slab", "sample"):
            noun = "slab"
        data["noun"] = "slab" if data.get("log") else noun
        return data

    def printing(self) -> dict[str, Any]:
        """How `labels_print` is asked."""
        data = self.cleaned_data
        places = BY_KEY[data["size"]].on_a_sheet
        return {
            "size_key": data["size"],
            "first_place": min(data["first_place"] or 1, places),
            "copies": data["copies"] or 1,
            "nudge_mm": (data["right_mm"] or 0.0, data["up_mm"] or 0.0),
        }


class FindForm(forms.Form):
    """A code or a tag, typed from a label that no camera reads any more."""

    q = forms.CharField(
        label="Code or tag", required=False, max_length=200,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
        help_text="The six signs at the foot of a label, or the tag, or how the tag begins.",
    )  # fmt: skip

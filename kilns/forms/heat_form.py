"""The clock of heat: which treatment, in which time, for which piece; and the words of a record that is kept."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from kilns.physics.treatments import HeatTreatment, heat_treatment, heat_treatments
from kilns.services.core_hold import LONGEST_SPAN, Piece
from yard.forms.dates import PastMomentField
from yard.forms.quantity_fields import MoistureField, TempField, ThicknessField, WidthField
from yard.forms.species_field import SpeciesField
from yard.forms.versioned import VersionedForm
from yard.quantities import temp


class HeatForm(forms.Form):
    """What is to be proved, and of which piece: the slowest one of the load."""

    kind = forms.ChoiceField(label="Treatment")
    since = PastMomentField(label="From")
    until = PastMomentField(label="Until")
    species_key = SpeciesField(label="Wood of the slowest piece")
    thickness_in = ThicknessField(label="Its thickness", low=0.25, high=24)
    width_in = WidthField(label="Its width", low=0.25, high=60)
    mc_pct = MoistureField(label="Its moisture", low=3, high=250)
    start_f = TempField(
        label="Wood at the start", required=False, low=-40, high=160,
        help_text="Empty: followed through the air of the twelve hours before, if it was read and the load in it.",
    )  # fmt: skip
    words = forms.CharField(label="Which piece", max_length=120)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = [
            (one.key, f"{one.name}: {temp(one.core_f)} for {one.hold_min:g} min") for one in heat_treatments()
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        since, until = data.get("since"), data.get("until")
        if since and until and not since < until:
            raise ValidationError({"until": "That is before it begins."})
        core_f = heat_treatment(data["kind"]).core_f if data.get("kind") else None
        if core_f is not None and (data.get("start_f") or 0.0) >= core_f:
            raise ValidationError({"start_f": "So hot it would be proved before it begins: begin before it is warm."})
        if since and until and until - since > LONGEST_SPAN:
            raise ValidationError({"until": f"Give at most {LONGEST_SPAN.days} days."})
        return data

    def treatment(self) -> HeatTreatment:
        """The treatment chosen."""
        return heat_treatment(self.cleaned_data["kind"])

    def piece(self) -> Piece:
        """The piece described."""
        data = self.cleaned_data
        return Piece(data["species_key"], data["thickness_in"], data["width_in"], data["mc_pct"], data["words"])


class TreatmentForm(VersionedForm):
    """The words of a treatment record; what was measured is not changed."""

    slowest = forms.CharField(label="The piece that was slowest", max_length=120)

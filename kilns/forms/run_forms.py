"""What is typed on a run's page: starting, going on, what was caught, read and seen, giving up."""

from typing import Any

from django import forms

from kilns.forms.figure_fields import FigureField
from kilns.models import Phase
from kilns.physics.schedules import HOTTEST_F
from kilns.services.run_phases import SetPoints, set_points
from yard.forms.dates import PastMomentField
from yard.forms.once_form import OnceForm
from yard.forms.quantity_fields import MoistureField, PercentField, TempField, WeightField, WidthField
from yard.forms.versioned import VersionedForm
from yard.models import Slab
from yard.wood.ranges import OutsideRange

WHEN = "Empty is now."


class SetPointsForm(forms.Form):
    """Dry bulb, and wet bulb or humidity, as the person set them on the kiln."""

    dry_bulb_f = TempField(label="Dry bulb set", required=False, low=32, high=HOTTEST_F)
    wet_bulb_f = TempField(label="Wet bulb set", required=False, low=33, high=HOTTEST_F)
    rh_pct = PercentField(label="or humidity", required=False, low=1, high=100)
    at = PastMomentField(label="When", required=False, help_text=WHEN)

    def points(self, elevation_ft: float) -> SetPoints | None:
        """The set points with what follows from them; None after adding the error that speaks against them."""
        data = self.cleaned_data
        try:
            return set_points(data["dry_bulb_f"], data["wet_bulb_f"], data["rh_pct"], elevation_ft)
        except OutsideRange as error:
            self.add_error("wet_bulb_f", f"{error}.")
            return None


class RunStartForm(SetPointsForm):
    """Starting a planned run."""

    meter_kwh = FigureField(label="The kiln's meter shows", unit="kWh", required=False, high=1e7)


class RunGoOnForm(VersionedForm, SetPointsForm):
    """The next phase or step."""

    phase = forms.ChoiceField(label="Phase", choices=Phase.choices)
    step = forms.IntegerField(label="Step", min_value=1, max_value=20, required=False)
    note = forms.CharField(label="Note", required=False, max_length=300)

    def clean_step(self) -> int:
        return self.cleaned_data.get("step") or 1


class CondensateForm(OnceForm):
    """Water caught since the last time."""

    water_lb = WeightField(label="Water caught", low=0, high=5000)
    at = PastMomentField(label="When", required=False, help_text=WHEN)


class EnergyForm(OnceForm):
    """What the meter shows."""

    meter_kwh = FigureField(label="The meter shows", unit="kWh", high=1e7)
    at = PastMomentField(label="When", required=False, help_text=WHEN)


class RunNoteForm(OnceForm):
    """A note, or degrade that was seen."""

    kind = forms.ChoiceField(label="What", choices=[("note", "Note"), ("degrade", "Degrade: checks, warp, stain")])
    note = forms.CharField(label="What was seen", max_length=500, widget=forms.Textarea(attrs={"rows": 2}))
    slab = forms.CharField(label="Slab", required=False, max_length=30, help_text="Its tag, where it is about one.")
    at = PastMomentField(label="When", required=False, help_text=WHEN)

    def __init__(self, *args: Any, slabs: dict[str, Slab] | None = None, **kwargs: Any) -> None:
        self.slabs = slabs or {}
        super().__init__(*args, **kwargs)

    def clean_slab(self) -> Slab | None:
        tag = self.cleaned_data.get("slab", "").strip()
        if not tag:
            return None
        found = self.slabs.get(tag.lower())
        if found is None:
            raise forms.ValidationError(f"No slab of this run is called {tag}: look at its label.")
        return found


class ProngForm(OnceForm):
    """A prong test: how far the prongs bend towards each other."""

    value = WidthField(label="Prongs bend inward by", low=0, high=2)
    outward = forms.BooleanField(label="They bend outward", required=False)
    note = forms.CharField(label="Of which board", required=False, max_length=200)
    at = PastMomentField(label="When", required=False, help_text=WHEN)

    def inward_in(self) -> float:
        """Inward above 0, outward below [in]."""
        value = self.cleaned_data["value"]
        return -value if self.cleaned_data["outward"] else value


class GiveUpForm(forms.Form):
    """Giving a run up."""

    reason = forms.CharField(label="Why", max_length=300)


class FinalRowForm(forms.Form):
    """The final MC of one board; empty: not measured."""

    mc_pct = MoistureField(label="Final MC", required=False, low=3, high=40)
    shell_pct = MoistureField(label="Shell", required=False, low=1, high=60)
    core_pct = MoistureField(label="Core", required=False, low=1, high=80)

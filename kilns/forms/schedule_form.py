"""Schedules: finding one by wood and thickness, taking one over, and writing one's own."""

from typing import Any

from django import forms

from kilns.models import Kiln
from kilns.physics.schedules import COOLEST_F, GREEN_PCT, HOTTEST_F, Step, humid_step, table_step
from yard.forms.quantity_fields import MoistureField, PercentField, TempField, ThicknessField
from yard.forms.species_field import SpeciesField
from yard.forms.versioned import VersionedForm
from yard.wood.ranges import OutsideRange

FEWEST_ROWS, SPARE_ROWS, MOST_ROWS = 6, 2, 16


class ScheduleFindForm(forms.Form):
    """Which schedule a wood takes at a thickness, or a code, brought to a kiln."""

    species_key = SpeciesField(label="Wood", required=False)
    thickness_in = ThicknessField(label="Thickness", required=False, low=0.5, high=4)
    code = forms.CharField(label="or a code", required=False, max_length=12, help_text="Such as T4-D2.")
    kiln = forms.ModelChoiceField(label="In the kiln", queryset=Kiln.objects.none(), required=False, empty_label="Any")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kiln"].queryset = Kiln.objects.filter(closed_on__isnull=True)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not data.get("code") and not self.errors:
            if not data.get("species_key"):
                self.add_error("species_key", "Give the wood, or a code.")
            elif data.get("thickness_in") is None:
                self.add_error("thickness_in", "Give the thickness, such as 4/4.")
        return data


class KilnOfScheduleForm(forms.Form):
    """For which kiln a schedule is shown."""

    kiln = forms.ModelChoiceField(label="In the kiln", queryset=Kiln.objects.none(), required=False, empty_label="Any")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kiln"].queryset = Kiln.objects.filter(closed_on__isnull=True)


class TakeOverForm(forms.Form):
    """Keeping a published schedule under a name."""

    name = forms.CharField(label="Name", max_length=60)
    code = forms.CharField(max_length=12, widget=forms.HiddenInput)
    species_key = SpeciesField(required=False, widget=forms.HiddenInput)
    thickness_in = forms.FloatField(required=False, widget=forms.HiddenInput, min_value=0.1, max_value=12)


class ScheduleNewForm(forms.Form):
    """A schedule's name, what it is for, and a note."""

    name = forms.CharField(label="Name", max_length=60, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    species_key = SpeciesField(label="Wood", required=False)
    thickness_in = ThicknessField(label="Thickness", required=False, low=0.25, high=12)
    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Where it comes from, and how it went.",
    )  # fmt: skip

    def schedule_fields(self) -> dict[str, Any]:
        """The cleaned values as the schedule service takes them."""
        return {name: self.cleaned_data[name] for name in ("name", "species_key", "thickness_in", "note")}


class ScheduleEditForm(VersionedForm, ScheduleNewForm):
    """A schedule that is kept already."""


class StepForm(forms.Form):
    """One step: where it begins, its dry bulb, and its wet bulb or its humidity. An empty row is left out."""

    mc_from_pct = MoistureField(label="From MC", required=False, low=0, high=GREEN_PCT)
    dry_bulb_f = TempField(label="Dry bulb", required=False, low=COOLEST_F, high=HOTTEST_F)
    wet_bulb_f = TempField(label="Wet bulb", required=False, low=33, high=HOTTEST_F)
    rh_pct = PercentField(label="or humidity", required=False, low=0, high=100)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if self.errors or self.is_empty:
            return data
        if data["dry_bulb_f"] is None:
            self.add_error("dry_bulb_f", "Give the dry bulb of this step.")
        elif data["wet_bulb_f"] is None and data["rh_pct"] is None:
            self.add_error("wet_bulb_f", "Give the wet bulb, or the humidity.")
        elif data["wet_bulb_f"] is not None and data["wet_bulb_f"] > data["dry_bulb_f"]:
            self.add_error("wet_bulb_f", "The wet bulb is never over the dry bulb.")
        return data

    @property
    def is_empty(self) -> bool:
        """Whether nothing was typed in the row."""
        names = ("mc_from_pct", "dry_bulb_f", "wet_bulb_f", "rh_pct")
        return all(self.cleaned_data.get(name) in (None, "") for name in names)

    def told(self, elevation_ft: float) -> Step | None:
        """The step, from green where no MC was given; the wet bulb counts where both were. Errors: OutsideRange."""
        if self.is_empty:
            return None
        data = self.cleaned_data
        begins = GREEN_PCT if data["mc_from_pct"] is None else data["mc_from_pct"]
        if data["wet_bulb_f"] is not None:
            return table_step(begins, data["dry_bulb_f"], data["dry_bulb_f"] - data["wet_bulb_f"], elevation_ft)
        return humid_step(begins, data["dry_bulb_f"], data["rh_pct"], elevation_ft)


class StepRows(forms.BaseFormSet):
    """The rows of the steps; what physics refuse is put beside the row."""

    def told(self, elevation_ft: float) -> list[Step] | None:
        """All steps, or None when one of them cannot be."""
        found: list[Step] = []
        refused = False
        for row in self:
            try:
                step = row.told(elevation_ft)
            except OutsideRange as error:
                row.add_error("dry_bulb_f", str(error))
                refused = True
            else:
                found += [step] if step else []
        return None if refused else found


StepFormSet = forms.formset_factory(StepForm, formset=StepRows, extra=SPARE_ROWS, max_num=MOST_ROWS)
NewStepFormSet = forms.formset_factory(StepForm, formset=StepRows, extra=FEWEST_ROWS, max_num=MOST_ROWS)


def steps_initial(steps: tuple[Step, ...]) -> list[dict[str, Any]]:
    """The rows of a schedule's steps; green is left empty."""
    return [
        {
            "mc_from_pct": None if step.from_green else step.mc_from_pct,
            "dry_bulb_f": step.dry_bulb_f,
            "wet_bulb_f": step.wet_bulb_f,
        }
        for step in steps
    ]

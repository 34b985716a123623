"""A kiln: taking one up, and its own figures."""

from decimal import Decimal
from typing import Any

from django import forms

from kilns.forms.figure_fields import CFM_IN_M3_H, FigureField, VolumeField
from kilns.models import Kiln
from kilns.services.example_build import example_fields
from kilns.services.kilns import KilnFields
from yard.forms.quantity_fields import LengthField, TempField
from yard.forms.versioned import VersionedForm
from yard.models import Bay, BayKind

EXAMPLE, EMPTY = "example", "empty"
STARTS = [
    (EXAMPLE, "From the example: 4 x 12 ft, glazed roof of 55°, two heaters, four fans, a dehumidifier"),
    (EMPTY, "Empty: I enter what mine is made of"),
]
AISLE_FT, HEADROOM_FT = 1.0, 2.0  # left beside and over the largest stack, to start from (common practice, no source)


class KilnNewForm(forms.Form):
    """A new kiln, and what its sheet starts from."""

    name = forms.CharField(label="Name", max_length=60, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    bay = forms.ModelChoiceField(
        label="Bay", queryset=Bay.objects.none(), required=False, empty_label="A new bay of that name",
        help_text="Where its stacks stand: a bay of kind kiln that has no sheet yet.",
    )  # fmt: skip
    start = forms.ChoiceField(label="Start", choices=STARTS, widget=forms.RadioSelect, initial=EXAMPLE)
    length_ft = LengthField(label="Inside length", required=False, low=1, high=100)
    width_ft = LengthField(label="Inside depth", required=False, low=2, high=100)
    height_ft = LengthField(label="Inside height", required=False, low=2.5, high=40, help_text="The mean of a slope.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        free = Bay.objects.filter(kind=BayKind.KILN, closed_on__isnull=True, kiln__isnull=True)
        self.fields["bay"].queryset = free

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if data.get("start") == EMPTY:
            for name in ("length_ft", "width_ft", "height_ft"):
                if data.get(name) is None and name not in self.errors:
                    self.add_error(name, "Give the size of the chamber, or start from the example.")
        return data

    @property
    def from_example(self) -> bool:
        """Whether it starts from the example."""
        return self.cleaned_data["start"] == EXAMPLE

    def kiln_fields(self) -> KilnFields:
        """The fields of the kiln: the example's, or the sizes typed with room for air around the stack."""
        data = self.cleaned_data
        if self.from_example:
            return {"name": data["name"]} | example_fields()
        length, width, height = data["length_ft"], data["width_ft"], data["height_ft"]
        return {
            "name": data["name"], "chamber_length_ft": length, "chamber_width_ft": width,
            "chamber_volume_ft3": max(10.0, length * width * height),
            "stack_length_ft": max(1.0, length - AISLE_FT), "stack_width_ft": max(1.0, width - AISLE_FT),
            "stack_height_ft": max(0.5, height - HEADROOM_FT),
        }  # fmt: skip


class KilnEditForm(VersionedForm):
    """The kiln's own figures; surfaces and equipment have pages of their own."""

    name = forms.CharField(label="Name", max_length=60, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    chamber_length_ft = LengthField(label="Inside length", low=1, high=100)
    chamber_width_ft = LengthField(label="Inside depth", low=1, high=100)
    chamber_volume_ft3 = VolumeField(label="Inside volume", low=10, high=100_000)
    stack_length_ft = LengthField(label="Largest stack, length", low=1, high=100)
    stack_width_ft = LengthField(label="Largest stack, width", low=1, high=40)
    stack_height_ft = LengthField(label="Largest stack, height", low=0.5, high=20)
    air_changes_per_h = FigureField(
        label="Leakage", unit="air changes an hour", high=20, help_text="Nobody measures it: 0.5 is a tight box."
    )
    vent_cfm = FigureField(label="Vents, open", unit="ft³/min", metric=("m³/h", CFM_IN_M3_H), high=100_000)
    structure_btu_f = FigureField(
        label="Heat that lining and floor take", unit="Btu/°F", high=100_000, help_text="150 for a small wooden box."
    )
    glazing_tilt_deg = FigureField(label="Tilt of the glazing", unit="°", high=90, required=False)
    glazing_facing_deg = FigureField(label="It faces", unit="°", high=360, help_text="180 is due south, 90 east.")
    hottest_f = TempField(
        label="Dry bulb that it can hold", low=60, high=200, help_text="Schedules are brought down to it."
    )
    energy_price = FigureField(label="Price of a kWh", high=1000, required=False, help_text="In the yard's currency.")
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}), max_length=2000)

    def kiln_fields(self) -> KilnFields:
        """The cleaned values as the kiln service takes them."""
        data = {name: self.cleaned_data[name] for name in KilnFields.__annotations__}
        if data["energy_price"] is not None:
            data["energy_price"] = Decimal(f"{data['energy_price']:.4f}")
        return data


def initial_of(kiln: Kiln) -> dict[str, Any]:
    """The form's values of a kiln."""
    values = {name: getattr(kiln, name) for name in KilnFields.__annotations__} | {"version": kiln.version}
    if kiln.energy_price is not None:
        values["energy_price"] = float(kiln.energy_price)
    return values

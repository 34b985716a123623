"""The end of a run: final MC by board, where the wood goes, the meter."""

from typing import Any

from django import forms

from kilns.forms.figure_fields import FigureField
from kilns.services.run_closing import Closing
from yard.forms.dates import PastMomentField
from yard.forms.money_field import MoneyField
from yard.forms.once_form import OnceForm
from yard.forms.quantity_fields import MoistureField
from yard.forms.stack_form import BayChoice, at_or_now
from yard.forms.versioned import VersionedForm
from yard.models import Slab

DOWN, STANDING = "down", "standing"


class FinalForm(OnceForm):
    """The final MC of each board of a run; empty: not measured. A field a slab and measure."""

    at = PastMomentField(label="When", required=False, help_text="Empty is now.")
    by_meter = forms.BooleanField(
        label="Measured with a pin meter: the yard's estimate learns from it", required=False, initial=True
    )

    def __init__(self, *args: Any, slabs: list[Slab], **kwargs: Any) -> None:
        self.slabs = slabs
        super().__init__(*args, **kwargs)
        for slab in slabs:
            for name, label, high in (("mc", "MC", 40), ("shell", "shell", 60), ("core", "core", 80)):
                low = 3 if name == "mc" else 1
                field = MoistureField(label=f"{slab.tag}, {label}", required=False, low=low, high=high)
                self.fields[f"{name}_{slab.pk}"] = field

    def rows(self) -> list[tuple[Slab, Any, Any, Any]]:
        """Each slab with its three fields."""
        return [(slab, *(self[f"{name}_{slab.pk}"] for name in ("mc", "shell", "core"))) for slab in self.slabs]

    def told(self) -> list[tuple[Slab, float, float | None, float | None]]:
        """Each slab that was measured, with its MC, shell and core."""
        data = self.cleaned_data
        rows = [(slab, *(data[f"{name}_{slab.pk}"] for name in ("mc", "shell", "core"))) for slab in self.slabs]
        return [row for row in rows if row[1] is not None]

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not self.errors and not self.told():
            raise forms.ValidationError("Give the MC of at least one board.")
        return data


class CloseForm(VersionedForm):
    """Closing a run."""

    store = BayChoice(label="The wood goes to", required=False, empty_label="It stays in the kiln's bay")
    stacks = forms.ChoiceField(
        label="The stacks", choices=[(DOWN, "come down: the slabs lie loose there"), (STANDING, "stay stickered")],
        initial=DOWN, widget=forms.RadioSelect,
    )  # fmt: skip
    meter_kwh = FigureField(label="The meter shows", unit="kWh", required=False, high=1e7)
    other_cost = MoneyField(label="Other cost", required=False, help_text="Wood for the stove, hired hands.")
    at = PastMomentField(label="When", required=False, help_text="Empty is now.")

    def closing(self) -> Closing:
        """As the service takes it."""
        data = self.cleaned_data
        return Closing(
            at_or_now(data["at"]), data["store"], data["stacks"] == DOWN, data["meter_kwh"], data["other_cost"]
        )

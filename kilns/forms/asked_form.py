"""What if: the load, the temperatures and a few figures of the kiln, tried out without saving."""

import calendar
from typing import Any

from django import forms

from kilns.forms.figure_fields import FigureField, RValueField
from kilns.services.sheet_asked import Asked
from yard.forms.quantity_fields import MoistureField, PercentField, TempField, ThicknessField
from yard.forms.species_field import SpeciesField

MONTHS = [(number, calendar.month_name[number]) for number in range(1, 13)]


class MonthField(forms.TypedChoiceField):
    """A month by its number; None when left out."""

    def __init__(self, **more: Any) -> None:
        super().__init__(choices=MONTHS, coerce=int, required=False, empty_value=None, **more)


class AskedForm(forms.Form):
    """Read by GET; a field left empty takes what the sheet starts from."""

    species_key = SpeciesField(label="Wood", required=False)
    nominal_in = ThicknessField(label="Thickness", required=False, low=0.5, high=4)
    board_feet_bf = FigureField(
        label="Footage", unit="bf", low=1, high=100_000, required=False, help_text="Empty: the stack that fits."
    )
    mc_pct = MoistureField(label="Moisture content", required=False, low=1, high=150)
    loss_pct_per_day = FigureField(
        label="Loses a day",
        unit="% MC",
        high=30,
        required=False,
        help_text="Empty: 2%, or its safe rate if less.",
    )
    drying_f = TempField(label="Dries at", required=False, low=60, high=200)
    drying_rh_pct = PercentField(label="Humidity then", required=False, low=5, high=95)
    sanitising_f = TempField(label="Sanitises at", required=False, low=100, high=200)
    outdoor_f = TempField(label="Outdoors", required=False, low=-60, high=90)
    first_month = forms.TypedChoiceField(
        label="Used from", choices=MONTHS, coerce=int, required=False, empty_value=None
    )
    last_month = forms.TypedChoiceField(label="Used to", choices=MONTHS, coerce=int, required=False, empty_value=None)
    heater_w = FigureField(label="Heaters", unit="W", high=200_000, required=False)
    air_changes_per_h = FigureField(label="Leakage", unit="changes an hour", high=20, required=False)
    tilt_deg = FigureField(label="Tilt of the glazing", unit="°", high=90, required=False)
    r_added = RValueField(label="More insulation", high=100, required=False, help_text="On all but the glazing.")
    pints_per_day = FigureField(label="Dehumidifier", unit="pints a day", low=0.1, high=5000, required=False)

    def asked(self) -> Asked:
        """The question; a field that is empty or wrong leaves what the sheet starts from."""
        self.is_valid()
        data = {name: value for name, value in self.cleaned_data.items() if value not in (None, "")}
        first, last = data.pop("first_month", 1), data.pop("last_month", 12)
        span = (last - first) % 12 + 1
        months = tuple((first - 1 + step) % 12 + 1 for step in range(span))
        return Asked(months=months, **data)

    @classmethod
    def opened(cls, query: Any, kiln_figures: dict[str, Any]) -> "AskedForm":
        """The form with what was asked, and with the kiln's own figures where nothing was."""
        base = Asked()
        start = {name: getattr(base, name) for name in cls.base_fields if hasattr(base, name)}
        start |= {"first_month": 1, "last_month": 12} | kiln_figures
        fields = cls(initial=start).fields
        data = {name: fields[name].prepare_value(value) for name, value in start.items() if value is not None}
        return cls(data | {name: query[name] for name in fields if query.get(name)}, initial=start)

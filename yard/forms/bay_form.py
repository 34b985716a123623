"""A bay: its kind, its air, and its place on the map."""

import math
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from yard.forms.quantity_fields import PercentField, TempField
from yard.forms.versioned import VersionedForm
from yard.models import Bay, BayAir, BayKind, Sensor
from yard.services.bays import MAP_TILE, MAP_WIDTH, BayFields
from yard.shown_units import shown

AIR_WORDS = [
    (BayAir.WEATHER, "The yard's weather: the wood stands in the open, or in a shed without walls"),
    (BayAir.OFFSET, "The weather with an offset: a shed that is a little warmer or drier than outdoors"),
    (BayAir.STEADY, "Held at a temperature and humidity: a heated shop or a dry store"),
    (BayAir.SENSOR, "A sensor in the bay: days without readings count as the yard's weather"),
]
MAP_DEEPEST = 60


def read_step(text: str, unit_signs: str) -> float | None:
    """A difference as typed, with a minus for lower; None when nothing was typed."""
    plain = text.replace("−", "-").replace("–", "-").replace(",", ".").strip(unit_signs)
    if not plain:
        return None
    try:
        step = float(plain)
    except ValueError:
        step = math.nan
    if not math.isfinite(step):
        raise ValidationError("Type a difference, like 5 or -2.")
    return step


class TempStepField(TempField):
    """A difference of temperatures [°F]: no zero point is moved."""

    def clean(self, value: Any) -> float | None:
        step = read_step(forms.CharField.clean(self, value), "°CF ")
        return step if step is None else self._in_bounds(step * 9 / 5 if shown().metric else step)

    def to_shown(self, value: float) -> float:
        return value * 5 / 9 if shown().metric else value


class PercentStepField(PercentField):
    """A difference of percentages [points]."""

    def clean(self, value: Any) -> float | None:
        step = read_step(forms.CharField.clean(self, value), "% ")
        if step is not None and not self.low <= step <= self.high:
            raise ValidationError(f"Give {self.low:g} to {self.high:g} points.")
        return step


class BayNewForm(forms.Form):
    """A new bay; left empty, its place on the map is the next free one."""

    name = forms.CharField(label="Name", max_length=60, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    kind = forms.ChoiceField(label="Kind", choices=BayKind.choices, widget=forms.RadioSelect, initial=BayKind.OUTDOORS)
    places = forms.IntegerField(label="Stacks that fit", min_value=1, max_value=1000, initial=4)
    air = forms.ChoiceField(
        label="How it is known", choices=AIR_WORDS, widget=forms.RadioSelect, initial=BayAir.WEATHER
    )
    offset_temp_f = TempStepField(
        label="Warmer than outdoors by", required=False, low=-80, high=80, help_text="Colder is a minus: -2."
    )
    offset_rh_pct = PercentStepField(
        label="Humidity higher by",
        required=False,
        low=-60,
        high=60,
        help_text="Points; drier is a minus: -5.",
    )
    steady_temp_f = TempField(label="Temperature held", required=False, low=-40, high=250)
    steady_rh_pct = PercentField(label="Relative humidity held", required=False, low=1, high=99)
    sensor = forms.ModelChoiceField(label="Sensor", queryset=Sensor.objects.none(), required=False, empty_label="None")
    map_x = forms.IntegerField(label="Squares from the left", min_value=0, max_value=MAP_WIDTH - 1, required=False)
    map_y = forms.IntegerField(label="Squares from the top", min_value=0, max_value=MAP_DEEPEST, required=False)
    map_w = forms.IntegerField(label="Squares wide", min_value=1, max_value=MAP_WIDTH, initial=MAP_TILE[0])
    map_h = forms.IntegerField(label="Squares deep", min_value=1, max_value=20, initial=MAP_TILE[1])
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 2}), max_length=2000)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sensor"].queryset = Sensor.objects.filter(retired_on__isnull=True)

    def bay_fields(self) -> BayFields:
        """The cleaned values as the bay service takes them."""
        data = {name: self.cleaned_data[name] for name in BayFields.__annotations__}
        for name in ("offset_temp_f", "offset_rh_pct"):
            data[name] = data[name] or 0.0
        if data["map_x"] is None or data["map_y"] is None:
            del data["map_x"], data["map_y"]
        return data


class BayEditForm(VersionedForm, BayNewForm):
    """A bay that stands already."""


def initial_of(bay: Bay) -> dict[str, Any]:
    """The form's values of a bay."""
    return {name: getattr(bay, name) for name in BayFields.__annotations__} | {"version": bay.version}

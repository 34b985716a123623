"""Fields for what people type with units: `2 1/8`, `8/4`, `11' 6"`, `54 mm`, `5,6 kg`, `21 °C`.

A bare figure is taken in the unit of who types; the cleaned value is a float in the trade's unit. What was typed
stays in `form.fields[name].typed` (a `Typed`, or None), for records that keep the value and unit as typed.
A value shown for editing and sent back untouched comes out exactly as it went in.
"""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from yard.quantities import number
from yard.shown_units import shown
from yard.wood import typed, units
from yard.wood.ranges import OutsideRange
from yard.wood.typed import CannotRead, Typed

EDIT_DIGITS = 4  # enough that a size shown in the other unit differs by no more than a saw's dust


class QuantityField(forms.CharField):
    """A size, weight or temperature with its unit, kept to bounds given in the trade's unit."""

    kind: typed.Kind
    read: Callable[..., Typed]
    keypad = "text"  # a fraction, a foot mark or a unit needs letters

    def __init__(self, *, low: float | None = None, high: float | None = None, **kwargs: Any) -> None:
        self.low, self.high = low, high
        self.typed: Typed | None = None
        super().__init__(**kwargs)
        self.widget.attrs |= {"inputmode": self.keypad, "autocomplete": "off"}

    @property
    def unit(self) -> str:
        """The unit of a bare figure, shown behind the input."""
        return typed.default_unit(self.kind, shown().units)

    def clean(self, value: Any) -> float | None:
        self.typed = None
        text = super().clean(value)
        if not text:
            return None
        try:
            self.typed = type(self).read(text, self.unit)
        except (CannotRead, OutsideRange) as error:
            raise ValidationError(str(error)) from None
        return self._in_bounds(self.from_typed(self.typed.value))

    def _in_bounds(self, value: float) -> float:
        if self.low is not None and value < self.low:
            raise ValidationError(f"That is too small: at least {self.written(self.low)}.")
        if self.high is not None and value > self.high:
            raise ValidationError(f"That is too large: at most {self.written(self.high)}.")
        return value

    def _clean_bound_field(self, bound: Any) -> float | None:
        """What was shown and comes back as it was is the same value, not its rounded text read again."""
        if self.is_number(bound.initial) and str(bound.data or "").strip() == self.prepare_value(bound.initial):
            self.typed = None
            return bound.initial
        return super()._clean_bound_field(bound)

    def prepare_value(self, value: Any) -> Any:
        return self.written(value, with_unit=False) if self.is_number(value) else value

    @staticmethod
    def is_number(value: Any) -> bool:
        return isinstance(value, (int, float)) and not isinstance(value, bool)

    def from_typed(self, value: float) -> float:
        """From the unit that the reader gives to the unit that the column keeps."""
        return value

    def to_shown(self, value: float) -> float:
        """From the unit that the column keeps to the unit of a bare figure."""
        raise NotImplementedError

    def written(self, value: float, with_unit: bool = True) -> str:
        figure = number(self.to_shown(value), EDIT_DIGITS).replace(",", "")
        return f"{figure} {self.unit}" if with_unit else figure


class ThicknessField(QuantityField):
    """A thickness [in]; 8/4 is eight quarters."""

    kind, read = "thickness", staticmethod(typed.read_thickness_in)

    def to_shown(self, value: float) -> float:
        return units.mm_from_in(value) if shown().metric else value


class WidthField(QuantityField):
    """A width [in]."""

    kind, read = "width", staticmethod(typed.read_width_in)

    def to_shown(self, value: float) -> float:
        return units.mm_from_in(value) / 10 if shown().metric else value


class DiameterField(WidthField):
    """A log's diameter [in]."""

    kind, read = "diameter", staticmethod(typed.read_diameter_in)


class LengthField(QuantityField):
    """A length [ft]."""

    kind, read = "length", staticmethod(typed.read_length_ft)

    def to_shown(self, value: float) -> float:
        return units.m_from_ft(value) if shown().metric else value


class LengthInField(LengthField):
    """A length that its column keeps in inches [in]; a bare figure is feet or metres all the same."""

    def from_typed(self, value: float) -> float:
        return value * 12

    def to_shown(self, value: float) -> float:
        return super().to_shown(value / 12)


class WeightField(QuantityField):
    """A weight [lb]."""

    kind, read = "weight", staticmethod(typed.read_weight_lb)
    keypad = "decimal"

    def to_shown(self, value: float) -> float:
        return units.kg_from_lb(value) if shown().metric else value


class TempField(QuantityField):
    """A temperature [°F]."""

    kind, read = "temperature", staticmethod(typed.read_temp_f)

    def to_shown(self, value: float) -> float:
        return units.c_from_f(value) if shown().metric else value


class PercentField(forms.CharField):
    """A percentage: moisture content, humidity, a share. `12,5 %` is read too."""

    unit = "%"

    def __init__(self, *, low: float = 0, high: float = 400, **kwargs: Any) -> None:
        self.low, self.high = low, high
        super().__init__(**kwargs)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}

    def clean(self, value: Any) -> float | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            figure = typed.read_percent(text)
        except (CannotRead, OutsideRange) as error:
            raise ValidationError(str(error)) from None
        if not self.low <= figure <= self.high:
            raise ValidationError(f"{number(figure, 1)}% cannot be: give {self.low:g} to {self.high:g}%.")
        return figure

    def prepare_value(self, value: Any) -> Any:
        return number(value, EDIT_DIGITS) if QuantityField.is_number(value) else value


class MoistureField(PercentField):
    """A moisture content, % of oven-dry weight."""


class WidthsField(forms.CharField):
    """A row of widths [in] from butt to top: `18; 16 1/2; 15` or plain spaces between; a list of floats."""

    def __init__(self, **kwargs: Any) -> None:
        self.typed: tuple[Typed, ...] = ()
        super().__init__(**kwargs)
        self.widget.attrs |= {"autocomplete": "off"}

    @property
    def unit(self) -> str:
        return typed.default_unit("width", shown().units)

    def clean(self, value: Any) -> list[float]:
        self.typed = ()
        text = super().clean(value)
        if not text:
            return []
        try:
            self.typed = typed.read_widths_in(text, self.unit)
        except (CannotRead, OutsideRange) as error:
            raise ValidationError(str(error)) from None
        return [width.value for width in self.typed]

    def _clean_bound_field(self, bound: Any) -> list[float]:
        if isinstance(bound.initial, list) and str(bound.data or "").strip() == self.prepare_value(bound.initial):
            return bound.initial
        return super()._clean_bound_field(bound)

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, (list, tuple)):
            return value
        scale = units.MM_PER_IN / 10 if shown().metric else 1
        return "; ".join(number(width * scale, EDIT_DIGITS).replace(",", "") for width in value)

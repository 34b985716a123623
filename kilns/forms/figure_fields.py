"""Fields for figures of a kiln that have a unit of their own: areas, volumes, air, R-values, watts, amperes."""

import math
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from yard.quantities import number
from yard.shown_units import shown
from yard.wood import units

DIGITS = 4
FT2_IN_M2, FT3_IN_M3 = units.M_PER_FT**2, units.M3_PER_FT3
CFM_IN_M3_H = units.M3_PER_FT3 * 60
R_IN_RSI = 0.17611
# (h ft² °F/Btu) in m² K/W, from the definitions of the units


class FigureField(forms.CharField):
    """A plain figure with its unit; typed in the metric unit by who reads metric, kept in the trade's.

    `5,6` is read as 5.6. A value that was shown and comes back untouched is the same float.
    """

    def __init__(
        self,
        *,
        unit: str = "",
        metric: tuple[str, float] | None = None,
        low: float = 0.0,
        high: float = 1e6,
        **more: Any,
    ) -> None:
        self.own_unit, self.metric, self.low, self.high = unit, metric, low, high
        super().__init__(**more)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}

    @property
    def unit(self) -> str:
        """The unit behind the input."""
        return self.metric[0] if self.metric and shown().metric else self.own_unit

    @property
    def _scale(self) -> float:
        return self.metric[1] if self.metric and shown().metric else 1.0

    def clean(self, value: Any) -> float | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            figure = float(text.replace("\u2009", "").replace(" ", "").replace(",", "."))
        except ValueError:
            figure = math.nan
        if not math.isfinite(figure):
            raise ValidationError("Type a plain figure, like 12 or 0.5.")
        kept = figure / self._scale
        if not self.low <= kept <= self.high:
            bounds = (number(end * self._scale, 2) for end in (self.low, self.high))
            raise ValidationError(f"Give {' to '.join(bounds)} {self.unit}.".replace(" .", "."))
        return kept

    def _clean_bound_field(self, bound: Any) -> float | None:
        initial = bound.initial
        if isinstance(initial, (int, float)) and str(bound.data or "").strip() == self.prepare_value(initial):
            return float(initial)
        return super()._clean_bound_field(bound)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            return number(value * self._scale, DIGITS).replace(",", "")
        return value


class AreaField(FigureField):
    """An area [ft²]."""

    def __init__(self, **more: Any) -> None:
        super().__init__(unit="ft²", metric=("m²", FT2_IN_M2), **more)


class VolumeField(FigureField):
    """A volume [ft³]."""

    def __init__(self, **more: Any) -> None:
        super().__init__(unit="ft³", metric=("m³", FT3_IN_M3), **more)


class RValueField(FigureField):
    """An R-value [h ft² °F/Btu], or RSI."""

    def __init__(self, **more: Any) -> None:
        super().__init__(unit="R", metric=("m² K/W", R_IN_RSI), **more)


class FanPointsField(forms.CharField):
    """A fan's points as its maker prints them: `0: 2000; 0.1: 1700`, inches of water and ft³/min."""

    def clean(self, value: Any) -> tuple[tuple[float, float], ...]:
        text = super().clean(value)
        if not text:
            return ()
        try:
            points = [
                tuple(float(part.replace(",", ".")) for part in point.split(":"))
                for point in text.replace("\n", ";").split(";")
                if point.strip()
            ]
        except ValueError:
            points = [()]
        if any(len(point) != 2 or not all(math.isfinite(part) for part in point) for point in points):
            raise ValidationError("Type points like 0: 2000; 0.1: 1700 (inches of water: cubic feet a minute).")
        return tuple((point[0], point[1]) for point in points)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, (list, tuple)):
            return "; ".join(f"{static:g}: {air:g}" for static, air in value)
        return value

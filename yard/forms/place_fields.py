"""Where the yard is: degrees as people copy them from a map, height above the sea, time zone."""

import re
import zoneinfo
from functools import cache
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from yard.quantities import number
from yard.shown_units import shown
from yard.wood import units
from yard.wood.typed_numbers import CannotRead, read_number

LOWEST_FT, HIGHEST_FT = -1400, 20000  # the Dead Sea's shore to above any forest; the program's own guard, no source
OUTDATED = ("Etc/", "SystemV/", "US/", "Canada/", "Brazil/", "Chile/", "Mexico/")


class DegreesField(forms.CharField):
    """Decimal degrees: `43.07`, `-89.4`, `89.4 W`."""

    def __init__(self, *, limit: float, letters: str, **kwargs: Any) -> None:
        self.limit, self.letters = limit, letters
        super().__init__(**kwargs)
        self.widget.attrs |= {"inputmode": "text", "autocomplete": "off"}

    unit = "°"

    def clean(self, value: Any) -> float | None:
        text = super().clean(value)
        if not text:
            return None
        plain = text.strip().replace("°", " ").replace("−", "-").upper()
        match = re.fullmatch(rf"([+-]?)\s*([0-9]+(?:[.,][0-9]+)?)\s*([{self.letters}]?)", plain)
        if not match:
            raise ValidationError(f"Give decimal degrees, such as {self._example}: copy them from a map.")
        degrees = float(match[2].replace(",", "."))
        if degrees > self.limit:
            raise ValidationError(f"Degrees here go up to {self.limit:g}.")
        return -degrees if match[1] == "-" or match[3] == self.letters[1] else degrees

    @property
    def _example(self) -> str:
        return "43.07" if self.limit == 90 else "-89.40 or 89.40 W"

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.5f}".rstrip("0").rstrip(".") if isinstance(value, float) else value


class ElevationField(forms.CharField):
    """Height above the sea [ft]: a bare figure in the person's unit, or `860 ft`, `262 m`."""

    @property
    def unit(self) -> str:
        return "m" if shown().metric else "ft"

    def clean(self, value: Any) -> float | None:
        text = super().clean(value)
        if not text:
            return None
        match = re.fullmatch(r"([+−-]?)\s*(.+?)\s*(ft|feet|'|m|metres?|meters?)?", text.strip(), re.IGNORECASE)
        try:
            height = read_number(match[2]) * (-1 if match[1] in ("-", "−") else 1)
        except CannotRead as error:
            raise ValidationError(f"{error} Such as 860 ft or 262 m.") from None
        metric = (match[3] or self.unit).lower().startswith("m")
        feet = units.ft_from_m(height) if metric else height
        if not LOWEST_FT <= feet <= HIGHEST_FT:
            raise ValidationError("No yard lies there: look at the figure and its unit.")
        return feet

    def _clean_bound_field(self, bound: Any) -> float | None:
        """A height shown and sent back untouched is the same height."""
        if isinstance(bound.initial, float) and str(bound.data or "").strip() == self.prepare_value(bound.initial):
            return bound.initial
        return super()._clean_bound_field(bound)

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, (int, float)):
            return value
        return number(units.m_from_ft(value) if shown().metric else value, 1).replace(",", "")


@cache
def time_zone_choices() -> list[tuple[str, str]]:
    """Every zone by its place, without the outdated names."""
    names = {name for name in zoneinfo.available_timezones() if "/" in name and not name.startswith(OUTDATED)}
    return [(name, name.replace("_", " ")) for name in ["UTC", *sorted(names)]]

"""The circuits of a kiln and the devices on them; works without a script."""

from typing import Any

from django import forms

from kilns.forms.figure_fields import FanPointsField, FigureField
from kilns.models import DeviceKind
from kilns.services.kiln_build import Build, CircuitTold, DeviceTold
from yard.forms.quantity_fields import TempField
from yard.forms.versioned import VersionedForm

SPARE, MOST = 2, 40


class EquipmentForm(VersionedForm):
    """Only the version of the kiln."""


class CircuitForm(forms.Form):
    """A circuit; a row without a name is left out."""

    name = forms.CharField(label="Circuit", required=False, max_length=60)
    breaker_a = FigureField(label="Breaker", unit="A", low=1, high=400, required=False)
    volts = FigureField(label="Voltage", unit="V", low=100, high=480, required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not data.get("name") and data.get("breaker_a") is not None:
            self.add_error("name", "Give the circuit a name, so that devices can be put on it.")
        for name in ("breaker_a", "volts"):
            if data.get("name") and data.get(name) is None and name not in self.errors:
                self.add_error(name, "Read it off the breaker.")
        return data

    def told(self) -> CircuitTold | None:
        """The circuit, or None for an empty row."""
        data = self.cleaned_data
        name = (data.get("name") or "").strip()
        return CircuitTold(name, data["breaker_a"], data["volts"]) if name else None


class DeviceForm(forms.Form):
    """A device by its nameplate; a row without a name is left out."""

    name = forms.CharField(label="Device", required=False, max_length=60)
    kind = forms.ChoiceField(label="Kind", choices=DeviceKind.choices, required=False)
    count = forms.IntegerField(label="How many", min_value=1, max_value=100, required=False)
    power_w = FigureField(label="Power of one", unit="W", high=100_000, required=False)
    circuit = forms.CharField(label="On circuit", required=False, max_length=60, help_text="A circuit's name.")
    limit_f = TempField(label="Hottest air for it", required=False, low=60, high=400)
    pints_per_day = FigureField(label="Takes out", unit="pints a day", low=0.1, high=5000, required=False)
    litres_per_kwh = FigureField(label="Yield", unit="L/kWh", low=0.1, high=20, required=False)
    curve = FanPointsField(
        label="Fan's points", required=False, help_text="Inches of water: ft³/min of one, like 0: 2000; 0.1: 1700."
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not (data.get("name") or "").strip():
            if data.get("power_w") is not None:
                self.add_error("name", "Give the device a name.")
            return data
        if data.get("power_w") is None and "power_w" not in self.errors:
            self.add_error("power_w", "Read it off the nameplate.")
        dries = data.get("kind") == DeviceKind.DEHUMIDIFIER
        if dries and data.get("pints_per_day") is None and "pints_per_day" not in self.errors:
            self.add_error("pints_per_day", "Say what it takes out in a day, by its nameplate.")
        return data

    def told(self) -> DeviceTold | None:
        """The device, or None for an empty row; what belongs to another kind is dropped."""
        data = self.cleaned_data
        name, kind = (data.get("name") or "").strip(), data.get("kind") or DeviceKind.OTHER
        if not name:
            return None
        dries = kind == DeviceKind.DEHUMIDIFIER
        return DeviceTold(
            kind, name, data["power_w"], count=data["count"] or 1, circuit=(data["circuit"] or "").strip(),
            limit_f=data["limit_f"], curve=data["curve"] if kind == DeviceKind.FAN else (),
            pints_per_day=data["pints_per_day"] if dries else None,
            litres_per_kwh=data["litres_per_kwh"] if dries else None,
        )  # fmt: skip


CircuitFormSet = forms.formset_factory(CircuitForm, extra=SPARE, max_num=MOST, absolute_max=MOST)
DeviceFormSet = forms.formset_factory(DeviceForm, extra=SPARE, max_num=MOST, absolute_max=MOST)


def circuits_initial(build: Build) -> list[dict[str, Any]]:
    """The rows of the circuits."""
    return [{"name": one.name, "breaker_a": one.breaker_a, "volts": one.volts} for one in build.circuits]


def devices_initial(build: Build) -> list[dict[str, Any]]:
    """The rows of the devices."""
    names = ("name", "kind", "count", "power_w", "circuit", "limit_f", "pints_per_day", "litres_per_kwh", "curve")
    return [{name: getattr(one, name) for name in names} for one in build.devices]


def told_rows(rows: forms.BaseFormSet) -> tuple[Any, ...]:
    """What the valid rows say, empty ones left out."""
    return tuple(one for row in rows if (one := row.told()) is not None)

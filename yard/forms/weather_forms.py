"""Weather files and sensors: choosing files, telling what their columns are."""

from typing import Any

from django import forms

from yard.forms.dates import PastDateField
from yard.forms.versioned import VersionedForm
from yard.models import Sensor, SensorKind
from yard.services.sensor_files import SensorChoices

DATE_ORDERS = [("ymd", "year, month, day"), ("mdy", "month, day, year"), ("dmy", "day, month, year")]


class FilesInput(forms.FileInput):
    """Files, as many as wanted."""

    allow_multiple_selected = True

    def value_from_datadict(self, data: Any, files: Any, name: str) -> list[Any]:
        return files.getlist(name)


class FilesField(forms.FileField):
    """A list of files, at least one."""

    widget = FilesInput(attrs={"multiple": True})
    default_error_messages = {"required": "Choose a file first.", "empty": "The file is empty."}

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        if not data:
            return [super().clean(None, initial)]
        return [super(FilesField, self).clean(one, initial) for one in data]


class WeatherFilesForm(forms.Form):
    """Weather files of one station."""

    files = FilesField(
        label="Weather files", help_text="EPW, TMY3, ISD-Lite, Global Hourly, LCD or GHCN-Daily; packed or not."
    )


class WeatherDaysForm(forms.Form):
    """Up to which day the table goes."""

    until = PastDateField(label="Days up to", required=False)


class SensorForm(forms.Form):
    """A sensor as it is set up."""

    name = forms.CharField(label="Name", max_length=60, help_text="Such as “Post by the mill”.")
    kind = forms.ChoiceField(label="What it measures", choices=SensorKind.choices, widget=forms.RadioSelect)
    is_outdoor = forms.BooleanField(
        label="It hangs outdoors and stands for the yard's weather",
        required=False,
        help_text="In the shade, in moving air, away from walls and fresh wood. One sensor alone can do this.",
    )
    note = forms.CharField(label="Note", widget=forms.Textarea(attrs={"rows": 3}), required=False)

    def values(self) -> dict[str, Any]:
        """What the sensor service takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class SensorEditForm(VersionedForm, SensorForm):
    """A sensor changed later."""


class SensorFileForm(forms.Form):
    """A sensor's own file."""

    file = forms.FileField(
        label="File of readings",
        help_text="CSV: a row of headings, then a row a reading.",
        error_messages={"required": "Choose a file first.", "empty": "The file is empty."},
    )


class SensorColumnsForm(forms.Form):
    """Which column of a sensor's file is what."""

    time = forms.ChoiceField(label="Date and time")
    clock = forms.ChoiceField(label="Time of day, where it stands apart", required=False)
    temp = forms.ChoiceField(label="Temperature (dry bulb)", required=False)
    rh = forms.ChoiceField(label="Relative humidity, %", required=False)
    wet_bulb = forms.ChoiceField(label="Wet bulb", required=False)
    core = forms.ChoiceField(label="Probe in the wood", required=False)
    temp_unit = forms.ChoiceField(
        label="Temperatures are in", choices=[("F", "°F"), ("C", "°C")], widget=forms.RadioSelect
    )
    date_order = forms.ChoiceField(label="Dates are written", choices=DATE_ORDERS)
    decimal_comma = forms.BooleanField(label="Decimals have a comma (21,5)", required=False)
    summer_time = forms.BooleanField(
        label="Its clock is set forward in summer", required=False, help_text="Else its times are standard time."
    )

    def __init__(self, *args: Any, names: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = [(name, name) for name in names]
        self.fields["time"].choices = [("", "Choose"), *listed]
        for name in ("clock", "temp", "rh", "wet_bulb", "core"):
            self.fields[name].choices = [("", "None"), *listed]

    def choices(self) -> SensorChoices:
        """What the file service takes."""
        return SensorChoices(**{name: self.cleaned_data[name] for name in SensorChoices.__dataclass_fields__})


def initial_of(sensor: Sensor) -> dict[str, Any]:
    """A sensor's values as the edit form shows them."""
    names = (*SensorForm.base_fields, "version")
    return {name: getattr(sensor, name) for name in names}

"""Which sensor stands where in a kiln."""

from typing import Any

from django import forms

from kilns.models import SensorPlace
from kilns.services.kiln_sensors import SILENT_HIGH_MIN, SILENT_LOW_MIN
from yard.forms.dates import PastMomentField
from yard.models import Sensor


class KilnSensorForm(forms.Form):
    """One sensor, its place, since when, and how long it may be silent."""

    sensor = forms.ModelChoiceField(
        label="Sensor", queryset=Sensor.objects.none(), empty_label="Choose", error_messages={"required": "Choose one."}
    )
    place = forms.ChoiceField(label="Where it stands", choices=SensorPlace.choices)
    since = PastMomentField(
        label="Since", required=False, help_text="When it was put there; empty is now."
    )
    silent_after_min = forms.IntegerField(
        label="Told as silent after (minutes)", min_value=SILENT_LOW_MIN, max_value=SILENT_HIGH_MIN, initial=60,
        help_text="A few times as long as it waits between two readings.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sensor"].queryset = Sensor.objects.filter(retired_on__isnull=True).order_by("name")

"""A token by which readings come in: what sends with it, and for which sensors."""

from typing import Any

from django import forms

from yard.models import Sensor


class ReadingTokenForm(forms.Form):
    """A token for one sensor, or for a hub with several."""

    name = forms.CharField(label="What sends with it", max_length=60, help_text="Such as “Hub in the kiln”.")
    also = forms.ModelMultipleChoiceField(
        label="A hub sends for these too",
        queryset=Sensor.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Each reading then names its sensor by the code.",
    )

    def __init__(self, *args: Any, sensor: Sensor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sensor = sensor
        others = Sensor.objects.filter(retired_on__isnull=True).exclude(pk=sensor.pk).order_by("name")
        self.fields["also"].queryset = others
        self.fields["also"].label_from_instance = lambda one: f"{one.name} ({one.code})"

    def values(self) -> dict[str, Any]:
        """What the token service takes."""
        return {"name": self.cleaned_data["name"], "sensors": [self.sensor, *self.cleaned_data["also"]]}

"""Choosing a charge: which stacks, by which schedule, to which moisture, from when."""

from datetime import date
from typing import Any

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils import timezone

from kilns.models import Schedule
from yard.forms.dates import DateField
from yard.forms.quantity_fields import MoistureField
from yard.models import Stack

PUBLISHED = ""
SALT = "charge worked out"


class ScheduleChoice(forms.ModelChoiceField):
    """A schedule that the yard keeps; empty: the published one for the wood."""

    def label_from_instance(self, schedule: Schedule) -> str:
        return f"{schedule.name} ({schedule.code or 'own'})"


class ChargeForm(forms.Form):
    """A charge for a kiln; `worked` carries what was worked out, signed, from the one step to the next."""

    stacks = forms.ModelMultipleChoiceField(
        label="Stacks", queryset=Stack.objects.none(), widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick at least one stack."},
    )  # fmt: skip
    schedule = ScheduleChoice(
        label="Schedule", queryset=Schedule.objects.none(), required=False,
        empty_label="The published one for the wood",
    )  # fmt: skip
    target_mc_pct = MoistureField(label="Dry it to", low=5, high=15)
    start_on = DateField(label="Start")
    name = forms.CharField(label="Name of the run", required=False, max_length=60)
    worked = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["stacks"].queryset = Stack.objects.standing().select_related("bay")
        self.fields["schedule"].queryset = Schedule.objects.filter(hidden_at__isnull=True)

    def clean_start_on(self) -> date:
        day = self.cleaned_data["start_on"]
        if not timezone.localdate().year - 3 <= day.year <= timezone.localdate().year + 3:
            raise ValidationError("Look at the year.")
        return day

    def plan_kept(self) -> dict[str, Any] | None:
        """What was worked out for just this charge; None where anything was changed since, or it was tampered with."""
        try:
            kept = signing.loads(self.cleaned_data.get("worked") or "", salt=SALT)
        except signing.BadSignature:
            return None
        return kept["plan"] if kept["of"] == self.asked() else None

    def plan_signed(self, plan: dict[str, Any]) -> str:
        """What was worked out, to be carried by the page."""
        return signing.dumps({"of": self.asked(), "plan": plan}, salt=SALT, compress=True)

    def asked(self) -> list[Any]:
        """What a plan depends on, as plain JSON."""
        data = self.cleaned_data
        stacks = sorted(stack.pk for stack in data["stacks"])
        schedule = data["schedule"]
        version = [schedule.pk, schedule.version] if schedule else None
        return [stacks, version, data["target_mc_pct"], data["start_on"].isoformat()]

"""Days and moments that have passed: nothing is written down for the future."""

from datetime import date, datetime, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

EARLIEST = date(1950, 1, 1)
CLOCKS_DIFFER = timedelta(minutes=5)


class DateField(forms.DateField):
    """Any day, picked or typed as 2026-03-02."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    default_error_messages = {"invalid": "This is no day: type it like 2026-03-02."}


class PastDateField(DateField):
    """A day that has come: today at the latest, in the yard's time zone."""

    def clean(self, value: Any) -> date | None:
        day = super().clean(value)
        if day is None:
            return None
        if day > timezone.localdate():
            raise ValidationError(f"{day:%Y-%m-%d} has not come yet: give today or an earlier day.")
        if day < EARLIEST:
            raise ValidationError(f"{day:%Y-%m-%d} is too long ago: look at the year.")
        return day


class PastMomentField(forms.DateTimeField):
    """A moment that has passed, in the yard's time zone."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    default_error_messages = {"invalid": "This is no day and time: type it like 2026-03-02 14:30."}

    def clean(self, value: Any) -> datetime | None:
        moment = super().clean(value)
        if moment is None:
            return None
        if moment > timezone.now() + CLOCKS_DIFFER:
            raise ValidationError("This time has not come yet: give now or earlier.")
        if moment.date() < EARLIEST:
            raise ValidationError("This is too long ago: look at the year.")
        return moment

    def _clean_bound_field(self, bound: Any) -> datetime | None:
        """What was shown and comes back as it was is the same moment, also in an hour that the clocks show twice."""
        first = bound.initial
        if isinstance(first, datetime) and bound.data == self.widget.format_value(self.prepare_value(first)):
            return first
        return super()._clean_bound_field(bound)

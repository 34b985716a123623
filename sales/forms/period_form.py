"""From when to when to look back."""

from datetime import date, timedelta

from django import forms
from django.utils import timezone

from sales.services.sold_wood import Period
from yard.forms.dates import EARLIEST, DateField

USUAL_DAYS = 365


class PeriodForm(forms.Form):
    """Two days, both counted; what is left open or cannot be read is the last year."""

    start = DateField(label="From", required=False)
    end = DateField(label="To", required=False)

    def clean(self) -> dict:
        data = super().clean()
        start, end = data.get("start"), data.get("end")
        if start and end and start > end:
            raise forms.ValidationError("The first day is after the last: swap them.")
        return data

    def period(self) -> Period:
        """What was asked for, or the year up to today."""
        data = self.cleaned_data if self.is_valid() else {}
        end: date = data.get("end") or timezone.localdate()
        start: date = data.get("start") or end - timedelta(days=USUAL_DAYS - 1)
        return Period(max(start, EARLIEST), end)

"""What of the history to show."""

from django import forms

from yard.models import Person
from yard.services.history import TABLE_WORDS


class HistoryFilter(forms.Form):
    """By kind of thing, by one thing, by person; everything may stay empty."""

    table = forms.ChoiceField(label="Of", required=False, choices=[("", "Everything"), *TABLE_WORDS.items()])
    row = forms.IntegerField(required=False, widget=forms.HiddenInput)
    by = forms.ModelChoiceField(Person.objects.order_by("username"), label="By", required=False, empty_label="Anybody")

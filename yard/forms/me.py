"""What a person chooses for themselves."""

from django import forms

from yard.models import Person, Units


class MyChoicesForm(forms.ModelForm):
    """How quantities and pages look to this person."""

    units = forms.ChoiceField(
        label="Units", required=False, choices=[("", "As the yard's setting"), *Units.choices]
    )

    class Meta:
        model = Person
        fields = ("first_name", "last_name", "units", "theme")
        labels = {"first_name": "First name", "last_name": "Last name", "theme": "Colours"}

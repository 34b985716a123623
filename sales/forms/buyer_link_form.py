"""Until when a buyer's private link opens."""

from django import forms

from yard.forms.dates import DateField


class BuyerLinkForm(forms.Form):
    """The last day on which it opens."""

    expires_on = DateField(label="Opens until", required=False)

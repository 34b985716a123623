"""Money that came in or went back."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from sales.models import PaymentWay
from yard.forms.dates import PastDateField
from yard.forms.money_field import MoneyField
from yard.forms.once_form import OnceForm


class PaymentForm(OnceForm):
    """One payment; its key makes it one however often it is sent."""

    amount = MoneyField(label="Amount")
    back = forms.BooleanField(label="Given back to the buyer", required=False)
    paid_on = PastDateField(label="On", initial=timezone.localdate)
    way = forms.ChoiceField(label="How", choices=PaymentWay.choices)
    note = forms.CharField(label="Note", max_length=500, required=False)

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        data = dict(self.cleaned_data)
        sign = Decimal(-1) if data.pop("back") else Decimal(1)
        return data | {"amount": sign * data["amount"]}


class PaymentVoidForm(forms.Form):
    """Why a payment does not count."""

    reason = forms.CharField(label="Why it does not count", max_length=200)

"""Amounts of money in the yard's currency: `1,200.50`, `1200,5` or with the sign before it."""

from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from yard.quantities import CURRENCY_SIGNS
from yard.shown_units import shown
from yard.wood.typed import CannotRead, read_number

MOST = Decimal("99999999.99")  # what the column holds
CENT = Decimal("0.01")


class MoneyField(forms.CharField):
    """An amount of nought or more, to the cent."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}

    @property
    def unit(self) -> str:
        return CURRENCY_SIGNS.get(shown().currency, shown().currency)

    def clean(self, value: Any) -> Decimal | None:
        text = super().clean(value)
        for sign in (self.unit, shown().currency):
            text = text.removeprefix(sign).removesuffix(sign).strip() if text else text
        if not text:
            return None
        try:
            amount = Decimal(repr(read_number(text))).quantize(CENT, ROUND_HALF_UP)
        except CannotRead as error:
            raise ValidationError(str(error)) from None
        if not 0 <= amount <= MOST:
            raise ValidationError("Give an amount from 0 up, like 125 or 125.50.")
        return amount

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.2f}" if isinstance(value, Decimal) else value

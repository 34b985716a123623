"""Fields that say what wood is meant, for price rules, wishes and wood as asked for."""

from typing import Any

from django import forms

from yard.models import SlabKind

QUARTERS = (3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 20, 24)


class QuartersField(forms.TypedChoiceField):
    """A nominal thickness in quarters of an inch, or any."""

    def __init__(self, **kwargs: Any) -> None:
        choices = [("", "Any"), *((f"{one}", f"{one}/4") for one in QUARTERS)]
        super().__init__(choices=choices, coerce=float, empty_value=None, required=False, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return f"{value:g}" if isinstance(value, (int, float)) else value


class KindField(forms.ChoiceField):
    """A kind of piece, or any."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(choices=[("", "Any"), *SlabKind.choices], required=False, **kwargs)

"""Orders: who asks, on what terms, and the steps that need a word or a day."""

from typing import Any

from django import forms
from django.utils import timezone

from sales.models import FootageBasis, FootageRounding, Order, OrderState
from yard.forms.dates import DateField, PastDateField
from yard.forms.quantity_fields import MoistureField
from yard.forms.versioned import VersionedForm
from yard.models import Contact, WidthBasis

STATES = [
    ("open", "Open"), *OrderState.choices, ("run_out", "Quotes run out"), ("unpaid", "Unpaid"),
    ("give_back", "Money to give back"), ("all", "All"),
]  # fmt: skip


class BuyerChoiceField(forms.ModelChoiceField):
    """Whoever buys, or has wood dried; buyers first."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Contact.objects.none(), **kwargs)

    def fill(self, now: Any = None) -> None:
        """Ask the table anew, for each form."""
        shown = Contact.objects.filter(hidden_at__isnull=True) | Contact.objects.filter(pk=getattr(now, "pk", now))
        self.queryset = shown.order_by("-is_buyer", "name")


class OrderNewForm(forms.Form):
    """Who asks; everything else follows the yard's habits until it is changed."""

    buyer = BuyerChoiceField(label="Who asks", required=False, empty_label="Somebody new")
    new_name = forms.CharField(label="Name of somebody new", max_length=120, required=False)
    wanted_by = DateField(label="Wanted by", required=False)
    own_note = forms.CharField(
        label="Note for the yard", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="On no document.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["buyer"].fill()

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not self.errors and not data.get("buyer") and not data.get("new_name"):
            self.add_error("buyer", "Choose who asks, or type a new name.")
        if data.get("buyer") and data.get("new_name"):
            self.add_error("new_name", "Choose one of the two: a buyer from the list or a new name.")
        return data


class OrderEditForm(VersionedForm):
    """Terms of an inquiry."""

    wanted_by = DateField(label="Wanted by", required=False)
    basis = forms.ChoiceField(label="Footage", choices=FootageBasis.choices)
    rounding = forms.ChoiceField(label="Rounded", choices=FootageRounding.choices)
    width_basis = forms.ChoiceField(label="Widths", choices=WidthBasis.choices)
    mc_pct = MoistureField(label="MC at delivery", low=4, high=100, required=False)
    mc_how = forms.CharField(label="How the MC is measured", max_length=120, required=False)
    tax_pct = forms.DecimalField(label="Tax, %", min_value=0, max_value=100, max_digits=6, decimal_places=3)
    discount_pct = forms.DecimalField(label="Discount, %", min_value=0, max_value=100, max_digits=5, decimal_places=2)
    terms = forms.CharField(label="Terms", required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 4}))
    note = forms.CharField(
        label="Note to the buyer", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    own_note = forms.CharField(
        label="Note for the yard", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}),
        help_text="On no document.",
    )  # fmt: skip

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class QuoteForm(VersionedForm):
    """Until when a quote holds."""

    valid_until = DateField(label="Holds until")


class ReasonForm(VersionedForm):
    """Why an order is called off, or a step taken back."""

    reason = forms.CharField(label="Why", max_length=200)


class DeliverForm(VersionedForm):
    """When the wood went, and whether slabs went that nobody scanned."""

    on = PastDateField(label="Gone on", initial=timezone.localdate)
    unscanned = forms.BooleanField(label="Those not scanned are there all the same", required=False)


class PickForm(forms.Form):
    """A label scanned, or a tag or code typed; several one under another."""

    text = forms.CharField(
        label="Tag or code", max_length=4000,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "autofocus": True}),
    )  # fmt: skip


class OrderFiltersForm(forms.Form):
    """Everything may stay empty."""

    q = forms.CharField(label="Find", required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"}))
    state = forms.ChoiceField(label="Which", choices=STATES, required=False)

    def asked(self) -> dict[str, Any]:
        """What `orders_found` takes."""
        self.is_valid()
        data = self.cleaned_data
        return {"words": data.get("q", ""), "state": data.get("state") or "open"}


def order_values(order: Order) -> dict[str, Any]:
    """An order's values as the edit form shows them."""
    return {name: getattr(order, name) for name in OrderEditForm.base_fields}

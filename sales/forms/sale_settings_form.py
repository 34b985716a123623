"""How the yard sells."""

from typing import Any

from django import forms

from sales.models import FootageBasis, FootageRounding, SaleSettings
from yard.forms.versioned import VersionedForm
from yard.models import WidthBasis


def _text(label: str, rows: int = 3, help_text: str = "") -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": rows})
    return forms.CharField(label=label, required=False, max_length=4000, widget=widget, help_text=help_text)


class SaleSettingsForm(VersionedForm):
    """What new orders start from, what stands on documents, and what strangers may see."""

    basis = forms.ChoiceField(label="Footage", choices=FootageBasis.choices)
    rounding = forms.ChoiceField(label="Rounded", choices=FootageRounding.choices)
    width_basis = forms.ChoiceField(label="Widths", choices=WidthBasis.choices)
    mc_how = forms.CharField(label="How the MC is measured", max_length=120, required=False)
    quote_days = forms.IntegerField(label="Days that a quote holds", min_value=1, max_value=365)
    quotes_hold = forms.BooleanField(label="A quote holds its slabs until its last day", required=False)
    pay_days = forms.IntegerField(label="Days to pay an invoice", min_value=0, max_value=365)
    address = _text("The yard's address, as on documents")
    tax_words = forms.CharField(label="Tax number, as on documents", max_length=80, required=False)
    quote_terms = _text("Terms of quotes and orders", 4)
    invoice_terms = _text("Terms of invoices", 4)
    quote_prefix = forms.CharField(label="Quotes begin with", max_length=8, required=False, strip=False)
    order_prefix = forms.CharField(label="Orders begin with", max_length=8, required=False, strip=False)
    delivery_prefix = forms.CharField(label="Delivery notes begin with", max_length=8, required=False, strip=False)
    invoice_prefix = forms.CharField(label="Invoices begin with", max_length=8, required=False, strip=False)
    credit_prefix = forms.CharField(label="Credit notes begin with", max_length=8, required=False, strip=False)
    public_open = forms.BooleanField(label="Anybody may see the page of wood for sale", required=False)
    public_prices = forms.BooleanField(label="With prices", required=False)
    public_words = _text("Shown above the list")
    public_contact = forms.CharField(label="How to reach the yard", max_length=200, required=False)

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


def settings_values(row: SaleSettings) -> dict[str, Any]:
    """The settings as the form shows them."""
    return {name: getattr(row, name) for name in SaleSettingsForm.base_fields}

"""Contacts: who buys, supplies, or has wood dried."""

from typing import Any

from django import forms

from yard.forms.versioned import VersionedForm
from yard.models import Contact

ROLES = [("", "Everybody"), ("buyer", "Buyers"), ("supplier", "Suppliers"), ("owner", "Owners of wood")]


class ContactForm(forms.Form):
    """A person or a firm, and what they are to the yard: one thing or several."""

    name = forms.CharField(label="Name", max_length=120)
    is_buyer = forms.BooleanField(label="Buys from us", required=False)
    is_supplier = forms.BooleanField(label="Supplies logs or sawn wood", required=False)
    is_owner = forms.BooleanField(label="Has wood dried for a fee", required=False)
    phone = forms.CharField(
        label="Telephone", max_length=40, required=False, widget=forms.TextInput(attrs={"type": "tel"})
    )
    email = forms.EmailField(
        label="E-mail", required=False, error_messages={"invalid": "Type it like name@example.org."}
    )
    address = forms.CharField(label="Address", required=False, widget=forms.Textarea(attrs={"rows": 3}), max_length=500)
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}), max_length=2000)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not any(data.get(name) for name in ("is_buyer", "is_supplier", "is_owner")):
            self.add_error("is_buyer", "Tick at least one: what are they to the yard?")
        return data

    def values(self) -> dict[str, Any]:
        """What the contact service takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class ContactEditForm(VersionedForm, ContactForm):
    """A contact changed later."""


class ContactFiltersForm(forms.Form):
    """Everything may stay empty."""

    q = forms.CharField(label="Find", required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"}))
    role = forms.ChoiceField(label="Who", choices=ROLES, required=False)
    hidden = forms.BooleanField(label="Hidden ones", required=False)

    def asked(self) -> dict[str, Any]:
        """What `contacts_found` takes."""
        self.is_valid()
        data = self.cleaned_data
        return {"words": data.get("q", ""), "role": data.get("role", ""), "hidden": bool(data.get("hidden"))}


def contact_values(contact: Contact) -> dict[str, Any]:
    """A contact's values as the edit form shows them."""
    return {name: getattr(contact, name) for name in (*ContactForm.base_fields, "version")}

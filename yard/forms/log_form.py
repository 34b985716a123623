"""Taking in a log, changing it, its ticket's rule, and making it void."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from yard.forms.dates import PastDateField
from yard.forms.money_field import MoneyField
from yard.forms.photo_form import PhotosField
from yard.forms.quantity_fields import DiameterField, LengthField, PercentField
from yard.forms.species_field import SpeciesField
from yard.forms.versioned import VersionedForm
from yard.models import Contact, Log, LogRule
from yard.services.logs import log_tag_taken

SIZES = ("small_end_in", "large_end_in", "length_ft", "defect_pct")


class LogSizesForm(forms.Form):
    """The sizes alone, as the live scale reads them; what is not typed yet may be empty."""

    small_end_in = DiameterField(label="Small end inside bark", low=1, high=120, required=False)
    large_end_in = DiameterField(label="Large end inside bark", low=1, high=120, required=False)
    length_ft = LengthField(label="Length", low=1, high=80, required=False)
    defect_pct = PercentField(label="Taken off for defects", high=100, required=False)
    rule = forms.ChoiceField(choices=LogRule.choices, required=False)


class LogForm(forms.Form):
    """What is known of a log when it comes in; the rule on the ticket is asked for only then."""

    species_key = SpeciesField(label="Species")
    tag = forms.CharField(label="Tag", max_length=30, help_text="The next free one, or your own.")
    small_end_in = DiameterField(label="Small end", low=1, high=120, help_text="Inside bark.")
    large_end_in = DiameterField(
        label="Large end", low=1, high=120, required=False, help_text="Inside bark; may stay empty."
    )
    length_ft = LengthField(label="Length", low=1, high=80)
    defect_pct = PercentField(label="Defects", high=100, required=False, help_text="Taken off the scale, if any.")
    defect_note = forms.CharField(label="Which defects", max_length=300, required=False)
    arrived_on = PastDateField(label="Arrived")
    felled_on = PastDateField(label="Felled", required=False, help_text="Stain and insects are counted from this day.")
    ends_sealed_on = PastDateField(label="Ends sealed on", required=False)
    owner = forms.ModelChoiceField(
        label="Whose wood", queryset=Contact.objects.none(), required=False, empty_label="Ours"
    )
    supplier = forms.ModelChoiceField(
        label="Supplier", queryset=Contact.objects.none(), required=False, empty_label="None"
    )
    new_owner = forms.CharField(
        label="Owner not listed yet", max_length=120, required=False, help_text="We dry this person's wood for a fee."
    )
    new_supplier = forms.CharField(label="Supplier not listed yet", max_length=120, required=False)
    where_from = forms.CharField(label="Where from", max_length=160, required=False)
    cost = MoneyField(label="Cost", required=False, help_text="What the log cost you at the gate.")
    note = forms.CharField(label="Note", widget=forms.Textarea(attrs={"rows": 3}), required=False)

    def __init__(self, *args: Any, log: Log | None = None, **kwargs: Any) -> None:
        self.log = log
        super().__init__(*args, **kwargs)
        shown = Contact.objects.filter(hidden_at__isnull=True)
        now = [log.owner_id, log.supplier_id] if log else []
        self.fields["owner"].queryset = shown.filter(is_owner=True) | Contact.objects.filter(pk__in=now[:1])
        self.fields["supplier"].queryset = shown.filter(is_supplier=True) | Contact.objects.filter(pk__in=now[1:])

    def clean_tag(self) -> str:
        tag = " ".join(self.cleaned_data["tag"].split())
        if log_tag_taken(tag, but=self.log.pk if self.log else None):
            raise ValidationError(f"Another log has the tag {tag}: type another one.")
        return tag

    def clean_defect_pct(self) -> float:
        return self.cleaned_data["defect_pct"] or 0.0

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        small, large = data.get("small_end_in"), data.get("large_end_in")
        if small is not None and large is not None and large < small:
            self.add_error("large_end_in", "Smaller than the small end: are the two the wrong way round?")
        for name in ("owner", "supplier"):
            if data.get(name) and data.get(f"new_{name}", "").strip():
                self.add_error(f"new_{name}", "Choose one that is listed, or type one that is not: not both.")
        felled, arrived = data.get("felled_on"), data.get("arrived_on")
        if felled and arrived and felled > arrived:
            self.add_error("felled_on", "Felled after it arrived: look at both days.")
        return data

    def new_contacts(self) -> dict[str, str]:
        """Names of contacts to add, by what they are to the log."""
        roles = ("owner", "supplier")
        return {role: name for role in roles if (name := self.cleaned_data[f"new_{role}"].strip())}

    def values(self) -> dict[str, Any]:
        """What the log service takes."""
        names = ("version", "rule", "photos", "new_owner", "new_supplier")
        return {name: value for name, value in self.cleaned_data.items() if name not in names}


class LogNewForm(LogForm):
    """A log as it comes in: the rule on its ticket is chosen once."""

    rule = forms.ChoiceField(
        label="Rule on the ticket",
        choices=LogRule.choices,
        widget=forms.RadioSelect,
        help_text="It stays with this log: bought, sawn and compared by the same rule.",
    )
    photos = PhotosField(label="Photos", required=False)


class LogEditForm(VersionedForm, LogForm):
    """A log changed later; its rule is changed on a page of its own."""


class LogRuleForm(VersionedForm):
    """Another rule for the ticket, and why."""

    rule = forms.ChoiceField(label="Rule on the ticket", choices=LogRule.choices, widget=forms.RadioSelect)
    reason = forms.CharField(label="Why", max_length=200, help_text="Such as “the ticket was misread”.")


class LogVoidForm(VersionedForm):
    """Why a log is void."""

    reason = forms.CharField(label="Why is it void?", max_length=200)


def initial_of(log: Log) -> dict[str, Any]:
    """A log's values as the edit form shows them."""
    apart = ("owner", "supplier", "new_owner", "new_supplier")
    names = [name for name in LogForm.base_fields if name not in apart]
    values: dict[str, Any] = {name: getattr(log, name) for name in names}
    cost: Decimal | None = log.cost
    return values | {"owner": log.owner, "supplier": log.supplier, "cost": cost, "version": log.version}

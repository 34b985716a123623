"""A species by what people call it: common, trade or botanical name; the cleaned value is the species' key."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse_lazy

from yard.wood.species import Species, UnknownSpecies, find_species, species

MOST_SUGGESTED = 8


class SpeciesField(forms.CharField):
    """Typed text that must mean one wood; suggestions come while typing, and with the error without a script."""

    widget = forms.TextInput(
        attrs={
            "autocomplete": "off",
            "autocapitalize": "none",
            "spellcheck": "false",
            "data-suggests": reverse_lazy("yard:species-suggest"),
        }
    )

    def clean(self, value: Any) -> str:
        text = super().clean(value)
        return read_species(text).key if text else ""

    def prepare_value(self, value: Any) -> Any:
        try:
            return species(value).plain_name if value else value
        except UnknownSpecies:
            return value


def read_species(text: str) -> Species:
    """The one wood that the text means. Errors: ValidationError that lists what it could mean."""
    try:
        return species(text)
    except UnknownSpecies:
        pass
    found = find_species(text)
    named_so = [wood for wood in found if _sorted_words(text) in _names(wood)]
    if len(named_so) == 1:
        return named_so[0]
    if len(found) == 1:
        return found[0]
    if not found:
        raise ValidationError(f"No wood is called “{text[:40]}” here. Try another name, such as “white oak”.")
    names = ", ".join(wood.plain_name for wood in (named_so or found)[:MOST_SUGGESTED])
    raise ValidationError(f"Which one do you mean: {names}?")


def _names(wood: Species) -> list[list[str]]:
    names = (wood.common_name, wood.plain_name, wood.botanical_name, *wood.other_names)
    return [_sorted_words(name) for name in names]


def _sorted_words(text: str) -> list[str]:
    return sorted("".join(sign if sign.isalnum() else " " for sign in text.lower()).split())

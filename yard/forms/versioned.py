"""Forms that notice when somebody else saved the same row: the version the form was opened at travels along."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.db.models import Model


@dataclass(frozen=True)
class Difference:
    """One field of which the saved value is not what was typed."""

    label: str
    saved: str
    typed: str


class VersionedForm(forms.Form):
    """A form with the hidden `version` of the row it edits."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)

    differences: tuple[Difference, ...] = ()
    changed_words = ""

    def show_changed_meanwhile(self, current: Model, saved: dict[str, Any], words: str) -> None:
        """Show both: what stands in the row now beside what was typed, which is kept for saving again.

        Parameters: current the row as it stands; saved its values by field name, as the form's initial would be;
        words of the error. Afterwards render the form with status 409; `{% form_errors form %}` shows it.
        """
        self.data = self.data.copy()
        self.data[self.add_prefix("version")] = current.version
        self.changed_words = words
        self.differences = tuple(self._differences(saved))

    def _differences(self, saved: dict[str, Any]) -> Any:
        for bound in self:
            if bound.name not in saved or bound.is_hidden:
                continue
            now, typed = saved[bound.name], self.cleaned_data.get(bound.name)
            saved_words, typed_words = self._words(bound, now), self._words(bound, bound.data)
            if now != typed and saved_words != typed_words:
                yield Difference(str(bound.label), saved_words, typed_words)

    @staticmethod
    def _words(bound: Any, value: Any) -> str:
        choices = dict(getattr(bound.field, "choices", []) or [])
        if value in (None, "", []):
            return "nothing"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if not isinstance(value, list) and value in choices:
            return str(choices[value])
        if isinstance(value, Model):
            return str(value)
        unit = getattr(bound.field, "unit", "")
        words = str(bound.field.prepare_value(value))
        return f"{words} {unit}" if unit and not isinstance(value, str) else words

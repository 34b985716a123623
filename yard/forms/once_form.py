"""Forms whose record is one however often they are sent."""

import uuid
from typing import Any

from django import forms


class OnceForm(forms.Form):
    """A form with a key made with its page: what is sent twice, as by a double click, is one record."""

    client_key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["client_key"].initial = uuid.uuid4

    def clean_client_key(self) -> uuid.UUID:
        return self.cleaned_data["client_key"] or uuid.uuid4()

    def key_of(self, *told: Any) -> uuid.UUID:
        """The key of what was typed, or of the part of it that one record of several is made from."""
        typed = told or [self.data.get(name, "") for name in sorted(self.fields) if name != "client_key"]
        return uuid.uuid5(self.cleaned_data["client_key"], "\n".join(map(str, typed)))

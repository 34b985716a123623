"""Adding photos to a log, a slab, a stack or what else keeps some."""

import uuid
from typing import Any

from django import forms

from yard.forms.once_form import OnceForm

MOST_AT_ONCE = 12  # the program's own limit, no source


class PhotosInput(forms.FileInput):
    """Pictures, as many as wanted, and one that a second input beside it took with the phone's camera."""

    allow_multiple_selected = True

    def value_from_datadict(self, data: Any, files: Any, name: str) -> list[Any]:
        return files.getlist(f"{name}_taken") + files.getlist(name)


class PhotosField(forms.FileField):
    """A list of files."""

    widget = PhotosInput(attrs={"accept": "image/jpeg,image/png,image/webp,image/*", "multiple": True})

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        if not data:
            super().clean(None, initial)
        files = [super(PhotosField, self).clean(one, initial) for one in data or []]
        if len(files) > MOST_AT_ONCE:
            raise forms.ValidationError(f"{len(files)} pictures at once are too many: choose up to {MOST_AT_ONCE}.")
        return files


class PhotoForm(OnceForm):
    """Pictures with one caption for all; its key makes them the same photos however often they are sent."""

    use_required_attribute = False  # one of the two inputs is enough

    photos = PhotosField(
        label="Pictures",
        error_messages={"required": "Choose at least one picture.", "empty": "This file is empty: choose it again."},
    )
    caption = forms.CharField(label="What they show", max_length=120, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("photos", "caption"):
            self.fields[name].widget.attrs["id"] = f"id_photo_{name}"

    def keys(self) -> list[uuid.UUID]:
        """A key for each picture that is the same when the form is sent again."""
        first = self.cleaned_data["client_key"]
        return [uuid.uuid5(first, str(number)) for number in range(len(self.cleaned_data["photos"]))]

"""Building a stack and changing it: pieces as typed or scanned, where and when, stickers and size."""

from types import SimpleNamespace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from yard.forms.dates import PastMomentField
from yard.forms.quantity_fields import LengthField, MoistureField, ThicknessField, WeightField, WidthField
from yard.forms.versioned import VersionedForm
from yard.models import Bay, Stack
from yard.services.courses import courses_filled
from yard.services.stack_list import bays_open
from yard.services.stacks import StackFields
from yard.services.typed_slabs import TypedSlabs, slabs_typed

FILL, LINES = "fill", "lines"
SHAPE = ("sticker_in", "sticker_width_in", "sticker_spacing_in", "width_ft", "length_ft", "top_weight_lb")


class SlabsText(forms.CharField):
    """Tags, codes and scanned labels; cleaned to the text, what was understood stays in `typed`."""

    widget = forms.Textarea(
        attrs={"rows": 6, "autocapitalize": "characters", "autocomplete": "off", "spellcheck": "false"}
    )

    def __init__(self, **kwargs: Any) -> None:
        self.typed = TypedSlabs()
        super().__init__(**kwargs)

    def clean(self, value: Any) -> str:
        self.typed = slabs_typed(str(value or ""))
        text = super().clean(value)
        if self.typed.unknown:
            names = ", ".join(self.typed.unknown[:8])
            raise ValidationError(f"No slab or log is called: {names}. Look at the label, or pick from the list.")
        if text and not self.typed.slabs:
            raise ValidationError("That log has no loose slabs.")
        return text


class BayChoice(forms.ModelChoiceField):
    """A bay in use."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Bay.objects.none(), **kwargs)

    def label_from_instance(self, bay: Bay) -> str:
        return f"{bay.name} ({bay.get_kind_display().lower()})"

    def __deepcopy__(self, memo: Any) -> "BayChoice":
        field = super().__deepcopy__(memo)
        field.queryset = bays_open()
        return field


def at_or_now(moment: Any) -> Any:
    """A moment that was typed, or now; the little that clocks may differ is not the future."""
    now = timezone.now()
    return min(moment, now) if moment else now


class StackShapeForm(forms.Form):
    """Stickers, size and the like, of a new stack or a standing one."""

    tag = forms.CharField(label="Tag", max_length=30, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    sticker_in = ThicknessField(label="Sticker thickness", low=0.25, high=4)
    sticker_width_in = WidthField(label="Sticker width", low=0.25, high=6)
    sticker_spacing_in = WidthField(label="Stickers apart", low=4, high=60, help_text="From middle to middle.")
    width_ft = LengthField(label="Width of the stack", low=0.5, high=20)
    length_ft = LengthField(label="Length of the stack", low=1, high=60)
    top_weight_lb = WeightField(label="Weight laid on top", low=0, high=50_000, required=False)
    target_mc_pct = MoistureField(
        label="Meant for",
        low=4,
        high=35,
        required=False,
        help_text="The moisture it should reach here. Empty: the yard's.",
    )
    covered = forms.BooleanField(label="It has a roof or a cover", required=False)
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 2}), max_length=2000)

    def shape_fields(self) -> StackFields:
        """The cleaned values as the stack service takes them."""
        data = self.cleaned_data
        fields = {name: data[name] for name in StackFields.__annotations__}
        fields["top_weight_lb"] = data["top_weight_lb"] or 0.0
        return fields

    def shape(self) -> Any:
        """The sizes for reckoning while some fields may still be wrong: a wrong one counts as usual."""
        usual = Stack()
        data = getattr(self, "cleaned_data", {}) or {name: self.initial.get(name) for name in SHAPE}
        return SimpleNamespace(**{name: data.get(name) or getattr(usual, name) for name in SHAPE})


class StackNewForm(StackShapeForm):
    """A stack to be built, from loose slabs or, restacking, from slabs of other stacks too."""

    slabs = SlabsText(
        label="Slabs from the bottom up",
        help_text="Scan or type tags or codes, one after another. A log's tag stands for all its loose slabs.",
        error_messages={"required": "Scan, type or pick at least one slab."},
    )
    courses = forms.ChoiceField(
        label="Courses",
        choices=[(FILL, "Fill each course to the width of the stack"), (LINES, "Each line is one course")],
        widget=forms.RadioSelect,
        initial=FILL,
    )
    restack = forms.BooleanField(label="Restack: take them out of the stacks they are in", required=False)
    bay = BayChoice(label="Bay", empty_label="Choose where it stands")
    at = PastMomentField(label="Built", required=False, help_text="Empty: now.")

    field_order = ["tag", "slabs", "courses", "restack", "bay", "at"]

    @property
    def typed(self) -> TypedSlabs:
        return self.fields["slabs"].typed

    def course_numbers(self) -> list[int]:
        """The course of each slab by what was chosen."""
        if self.is_bound and self.cleaned_data.get("courses") == LINES:
            return self.typed.line_numbers
        return courses_filled(self.typed.slabs, self.shape().width_ft)


class StackEditForm(VersionedForm, StackShapeForm):
    """A standing stack: one line a course, bottom first."""

    layout = SlabsText(
        label="Courses, bottom first",
        required=False,
        help_text="One line is one course. Every slab of the stack stays once.",
    )
    field_order = ["version", "tag", "layout"]


class StackAddForm(forms.Form):
    """Slabs to be laid on a standing stack."""

    slabs = SlabsText(
        label="Slabs to lay on top",
        help_text="Scan or type tags or codes, one after another. A log's tag stands for all its loose slabs.",
        error_messages={"required": "Scan, type or pick at least one slab."},
    )
    at = PastMomentField(label="When", required=False, help_text="Empty: now.")


class StackTakeOutForm(forms.Form):
    """Slabs to be taken out of a stack."""

    at = PastMomentField(label="When", required=False, help_text="Empty: now.")
    lie_in = BayChoice(label="They lie in", required=False, empty_label="Where the stack stands")


class StackMoveForm(forms.Form):
    """Where a stack goes."""

    bay = BayChoice(label="Bay", error_messages={"required": "Choose a bay."})
    at = PastMomentField(label="When", required=False, help_text="Empty: now.")
    note = forms.CharField(label="Note", required=False, max_length=300)


class StackTakeDownForm(forms.Form):
    """The end of a stack."""

    at = PastMomentField(label="When", required=False, help_text="Empty: now.")
    note = forms.CharField(label="Note", required=False, max_length=300)

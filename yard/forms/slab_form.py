"""Slabs that did not come from the saw's page: bought in, changed at the desk, called dry, split, made void."""

from typing import Any

from django import forms

from yard.forms.dates import PastDateField
from yard.forms.money_field import MoneyField
from yard.forms.once_form import OnceForm
from yard.forms.quantity_fields import LengthInField, MoistureField, ThicknessField, WidthsField
from yard.forms.saw_form import SawDetailsForm, SawRowForm, row_values
from yard.forms.species_field import SpeciesField
from yard.forms.versioned import VersionedForm
from yard.models import Contact, Slab, SlabKind
from yard.services.dry_slabs import DRIEST_PCT, WETTEST_PCT
from yard.services.slabs import Piece

MORE = ("species_key", "owner", "sawn_on", "ends_sealed_on", "price", "hold_back")
MOST_PIECES = 40


class SlabMoreFields(forms.Form):
    """What the saw knows from the log, and the desk has to be told."""

    species_key = SpeciesField(label="Species")
    owner = forms.ModelChoiceField(
        label="Whose wood", queryset=Contact.objects.none(), required=False, empty_label="Ours"
    )
    sawn_on = PastDateField(label="Sawn on", help_text="Drying is counted from this day.")
    ends_sealed_on = PastDateField(label="Ends sealed on", required=False)
    price = MoneyField(
        label="Price of its own", required=False, help_text="For the whole piece. Empty: by the price list."
    )
    hold_back = forms.BooleanField(label="Not for sale", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        now = self.initial.get("owner")
        shown = Contact.objects.filter(hidden_at__isnull=True, is_owner=True)
        self.fields["owner"].queryset = shown | Contact.objects.filter(pk=getattr(now, "pk", now))

    def more(self) -> dict[str, Any]:
        """What the slab service takes of these."""
        return {name: self.cleaned_data[name] for name in MORE}


class SlabNewForm(OnceForm, SlabMoreFields, SawDetailsForm):
    """Sawn wood without a log; its key makes it one slab however often it is sent."""

    dry_mc_pct = MoistureField(label="Dry already: MC", low=DRIEST_PCT, high=WETTEST_PCT, required=False)
    dry_on = PastDateField(label="Dry since", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["tag"].help_text = "Empty: the next free one."

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if (data.get("dry_mc_pct") is None) != (data.get("dry_on") is None):
            missing = "dry_on" if data.get("dry_on") is None else "dry_mc_pct"
            if missing not in self.errors:
                self.add_error(missing, "Give both, the MC measured and since when, or neither.")
        if data.get("dry_on") and data.get("sawn_on") and data["dry_on"] < data["sawn_on"]:
            self.add_error("dry_on", "Dry before it was sawn: look at both days.")
        return data

    def values(self) -> dict[str, Any]:
        return self.sizes() | self.details() | self.more()


class SlabEditForm(SlabMoreFields, SawRowForm):
    """Everything of a slab that a person may change."""

    def values(self) -> dict[str, Any]:
        return super().values() | self.more()


class SlabDryForm(VersionedForm):
    """What it measures now that it is dry; a size left empty follows from the wood's shrinkage."""

    dry_mc_pct = MoistureField(
        label="MC measured", low=DRIEST_PCT, high=WETTEST_PCT, help_text="By oven-dried section or meter, in the core."
    )
    dry_on = PastDateField(label="On")
    dry_thickness_in = ThicknessField(label="Thickness now", low=0.1, high=24, required=False)
    dry_widths_in = WidthsField(label="Widths now, butt to top", required=False)
    dry_length_in = LengthInField(label="Length now", low=1, high=960, required=False)

    def __init__(self, *args: Any, slab: Slab, **kwargs: Any) -> None:
        self.slab = slab
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        slab = self.slab
        if data.get("dry_on") and data["dry_on"] < slab.sawn_on:
            self.add_error("dry_on", f"{slab.tag} was sawn on {slab.sawn_on:%Y-%m-%d}: give that day or a later one.")
        pairs = (
            ("dry_thickness_in", slab.thickness_in, "thickness"),
            ("dry_length_in", slab.length_in, "length"),
        )
        for name, green, words in pairs:
            if data.get(name) and data[name] > green * 1.02:
                self.add_error(name, f"More than the {words} as sawn: wood shrinks as it dries. Check both.")
        if data.get("dry_widths_in") and slab.widths_in and max(data["dry_widths_in"]) > max(slab.widths_in) * 1.02:
            self.add_error("dry_widths_in", "Wider than it was sawn: wood shrinks as it dries. Check both.")
        return data


class SlabVoidForm(VersionedForm):
    """Why a slab is void."""

    reason = forms.CharField(label="Why is it void?", max_length=200)


class PieceForm(forms.Form):
    """One piece that a slab or a lot is split into."""

    count = forms.IntegerField(label="How many", min_value=1, max_value=2000, initial=1)
    thickness_in = ThicknessField(label="Thickness", low=0.1, high=24)
    widths_in = WidthsField(label="Width, or widths")
    length_in = LengthInField(label="Length", low=1, high=960)
    grade = forms.CharField(label="Grade", max_length=20, required=False)
    tag = forms.CharField(label="Tag", max_length=30, required=False, help_text="Empty: the next free one.")

    def has_changed(self) -> bool:
        """A row counts once a width or a tag is typed in it, whatever it was opened with."""
        return any(str(self.data.get(self.add_prefix(name), "")).strip() for name in ("widths_in", "tag"))

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if data.get("count", 1) > 1 and len(data.get("widths_in") or []) > 1:
            self.add_error("widths_in", "Several pieces in one row have one width: give each width a row of its own.")
        return data

    def piece(self, whole: Slab) -> Piece:
        """What the slab service takes: several together are a lot, one is a board or what the whole was."""
        data = self.cleaned_data
        sizes = {"thickness_in": data["thickness_in"], "length_in": data["length_in"]}
        same = {"tag": data["tag"], "grade": data["grade"], "quarters": whole.quarters}
        if data["count"] > 1:
            line = {"width_in": data["widths_in"][0], "length_in": data["length_in"], "count": data["count"]}
            return Piece(**sizes, **same, tally=(line,), kind=SlabKind.LOT, count=data["count"])
        kind = SlabKind.BOARD if whole.kind == SlabKind.LOT else whole.kind
        return Piece(**sizes, **same, widths_in=tuple(data["widths_in"]), kind=kind)


class PieceFormSet(forms.BaseFormSet):
    """The pieces; a row in which no width and no tag was typed is left out."""

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        return super().get_form_kwargs(index) | {"empty_permitted": True, "use_required_attribute": False}

    def filled(self) -> list[PieceForm]:
        return [form for form in self.forms if form.has_changed()]

    def clean(self) -> None:
        if not self.filled() and not any(self.errors):
            raise forms.ValidationError("Type the width of at least one piece.")


PieceForms = forms.formset_factory(PieceForm, formset=PieceFormSet, extra=0, max_num=MOST_PIECES)


class SlabSplitForm(VersionedForm):
    """What goes with the pieces."""

    note = forms.CharField(label="Note", max_length=200, required=False)


def edit_values(slab: Slab) -> dict[str, Any]:
    """A slab's values as the edit form shows them."""
    return row_values(slab) | {name: getattr(slab, name) for name in MORE}


def dry_values(slab: Slab) -> dict[str, Any]:
    """A slab's dry sizes as the form shows them."""
    return {name: getattr(slab, name) for name in (*SlabDryForm.base_fields, "version")}

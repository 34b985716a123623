"""A row at the saw: few fields in sight, the rest behind "More"."""

from typing import Any

from django import forms
from django.utils import timezone

from yard.forms.quantity_fields import LengthInField, ThicknessField, WidthsField
from yard.forms.tally_field import TallyField
from yard.forms.versioned import VersionedForm
from yard.models import Log, Slab, SlabKind, WidthBasis
from yard.services.slab_sizes import quarters_suggest
from yard.wood.quarters import nominal_in
from yard.wood.typed import CannotRead

FEATURES = ("has_crotch", "has_wane", "has_knots", "has_checks", "has_pith")
MORE = ("quarters", "width_basis", "area_rule", "grade", "figure", "note", "tag", *FEATURES)
SAW_KINDS = [
    (SlabKind.LIVE_EDGE, "Live edge"),
    (SlabKind.BOARD, "Board"),
    (SlabKind.BEAM, "Beam"),
    (SlabKind.BLANK, "Blank"),
    (SlabKind.LOT, "Lot"),
]


class SawSizesForm(forms.Form):
    """Kind and sizes of a slab or a lot as sawn."""

    kind = forms.ChoiceField(label="Kind", choices=SAW_KINDS, widget=forms.RadioSelect)
    thickness_in = ThicknessField(label="Sawn thickness", low=0.375, high=24)
    length_in = LengthInField(label="Length", low=1, high=960)
    widths_in = WidthsField(
        label="Widths, butt to top",
        required=False,
        help_text="At equal steps from end to end, like 18 16.5 15 16 19; one where it is edged.",
    )
    tally = TallyField(label="Boards by width", required=False, help_text="Such as 6 6 7 8x3.")
    quarters = forms.CharField(
        label="Nominal",
        max_length=8,
        required=False,
        help_text="Such as 8/4. Empty: what the thickness passes for.",
    )
    width_basis = forms.ChoiceField(label="Widths taken", choices=WidthBasis.choices, required=False)
    area_rule = forms.ChoiceField(
        label="Area by", choices=[("trapezoid", "Trapezoid"), ("simpson", "Simpson")], required=False
    )

    def clean_quarters(self) -> float | None:
        text = self.cleaned_data["quarters"]
        try:
            return nominal_in(f"{text}/4" if text.isdecimal() else text) * 4 if text else None
        except CannotRead as error:
            raise forms.ValidationError(str(error)) from None

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        is_lot = data.get("kind") == SlabKind.LOT
        if is_lot and not data.get("tally") and "tally" not in self.errors:
            self.add_error("tally", "Tally at least one board: tap its width, or type it.")
        if not is_lot and not data.get("widths_in") and "widths_in" not in self.errors:
            self.add_error("widths_in", "Type at least one width, like 16 1/2.")
        if not data.get("quarters") and "thickness_in" in data:
            as_typed = self.fields["thickness_in"].typed
            data["quarters"] = as_typed.typed_value if as_typed and as_typed.typed_unit == "quarters" else None
        return data

    def sizes(self) -> dict[str, Any]:
        """What the slab service takes of the sizes."""
        data = self.cleaned_data
        is_lot = data["kind"] == SlabKind.LOT
        values = {
            "kind": data["kind"],
            "thickness_in": data["thickness_in"],
            "length_in": data["length_in"],
            "widths_in": [] if is_lot else data["widths_in"],
            "tally": _tally(data) if is_lot else [],
            "width_basis": data["width_basis"] or _usual_basis(data["kind"]),
            "area_rule": data["area_rule"] or "trapezoid",
        }
        return values | ({"quarters": data["quarters"]} if data["quarters"] else {})


class SawDetailsForm(SawSizesForm):
    """With what else may be said of a slab."""

    tag = forms.CharField(label="Tag", max_length=30, required=False, help_text="Empty: the next of this log.")
    grade = forms.CharField(label="Grade", max_length=20, required=False)
    figure = forms.CharField(label="Figure", max_length=60, required=False, help_text="Such as curl, spalt, quilt.")
    has_crotch = forms.BooleanField(label="Crotch", required=False)
    has_wane = forms.BooleanField(label="Wane", required=False)
    has_knots = forms.BooleanField(label="Knots", required=False)
    has_checks = forms.BooleanField(label="Checks", required=False)
    has_pith = forms.BooleanField(label="Pith", required=False)
    note = forms.CharField(label="Note", required=False, max_length=500)

    def details(self) -> dict[str, Any]:
        """What the slab service takes besides the sizes."""
        return {name: self.cleaned_data[name] for name in ("tag", "grade", "figure", "note", *FEATURES)}


class SawForm(SawDetailsForm):
    """A new row. Its key makes it one slab however often it is sent."""

    client_key = forms.UUIDField(widget=forms.HiddenInput)
    matched = forms.BooleanField(label="Matched with the one before", required=False)
    sealed = forms.BooleanField(label="Ends sealed", required=False)

    def values(self) -> dict[str, Any]:
        sealed = {"ends_sealed_on": timezone.localdate() if self.cleaned_data["sealed"] else None}
        return self.sizes() | self.details() | sealed


class SawRowForm(VersionedForm, SawDetailsForm):
    """A row changed in place."""

    matched_set = forms.CharField(
        label="Matched set", max_length=30, required=False, help_text="The same word on every piece of the set."
    )

    def values(self) -> dict[str, Any]:
        values = self.sizes() | self.details() | {"matched_set": self.cleaned_data["matched_set"]}
        if not values["tag"]:
            del values["tag"]
        if self._touched("thickness_in") and not self._touched("quarters"):
            as_typed = self.fields["thickness_in"].typed
            in_quarters = as_typed is not None and as_typed.typed_unit == "quarters"
            nominal = as_typed.typed_value if in_quarters else quarters_suggest(values["thickness_in"])
            values["quarters"] = nominal
        if not any(self._touched(name) for name in ("tally", "length_in", "kind")):
            del values["tally"]  # boards of several lengths stay as they were tallied
        return values

    def _touched(self, name: str) -> bool:
        """Whether a field came back other than it was shown."""
        shown = self.fields[name].prepare_value(self.initial.get(name))
        return str(self[name].data or "").strip() != str(shown or "").strip()


class KerfForm(forms.Form):
    """What the blade takes."""

    kerf_in = ThicknessField(label="Kerf", low=0.02, high=1, required=False)


def first_row(log: Log, last: Slab | None) -> dict[str, Any]:
    """What a new row starts with: as the last one, but its widths; else live edge, as long as the log."""
    if last is None:
        return {"kind": SlabKind.LIVE_EDGE, "length_in": log.length_ft * 12}
    return {
        "kind": last.kind,
        "thickness_in": last.thickness_in,
        "length_in": last.length_in,
        "width_basis": last.width_basis,
        "area_rule": last.area_rule,
        "grade": last.grade,
        "sealed": last.ends_sealed_on is not None,
    }


def row_values(slab: Slab) -> dict[str, Any]:
    """A slab's values as the row form shows them."""
    names = [*SawDetailsForm.base_fields, "matched_set", "version"]
    values = {name: getattr(slab, name) for name in names}
    tally = [(line["width_in"], line["count"]) for line in slab.tally]
    return values | {"quarters": _quarters_words(slab.quarters), "tally": tally}


def _tally(data: dict[str, Any]) -> list[dict[str, float]]:
    return [{"width_in": width, "length_in": data["length_in"], "count": count} for width, count in data["tally"]]


def _usual_basis(kind: str) -> str:
    return WidthBasis.NARROW_FACE if kind == SlabKind.LIVE_EDGE else WidthBasis.EDGED


def _quarters_words(quarters: float) -> str:
    return f"{quarters:g}/4" if quarters == int(quarters) else ""

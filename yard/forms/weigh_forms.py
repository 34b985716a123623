"""Writing down a weight, an oven-dried section, a meter reading: forms that a gloved thumb fills.

Each carries a client key, so that the same record sent twice is one, and the moment may be an earlier one.
`confirmed` holds the very figure that a person insisted on: another figure is asked about anew.
"""

import re
from datetime import date, datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from yard.forms.dates import PastMomentField
from yard.forms.once_form import OnceForm
from yard.forms.quantity_fields import PercentField, TempField, ThicknessField
from yard.models import Cohort, Sample
from yard.shown_units import shown
from yard.wood.ranges import OutsideRange
from yard.wood.typed import CannotRead, Typed, read_weight_lb

SCALE_UNITS = [("lb", "lb"), ("kg", "kg")]
BENCH_UNITS = [("g", "g"), ("oz", "oz"), ("kg", "kg"), ("lb", "lb")]


def usual_scale_unit() -> str:
    """The unit of a scale that nobody has chosen yet."""
    return "kg" if shown().metric else "lb"


class RecordForm(OnceForm):
    """What every record has: its key, when it was made, a note, and what was insisted on."""

    confirmed = forms.CharField(widget=forms.HiddenInput, required=False, max_length=60)
    made_at = PastMomentField(label="At another time", required=False, help_text="Empty: now.")
    note = forms.CharField(label="Note", max_length=500, required=False)

    started_on: date | None = None  # nothing was measured of wood before it was sawn
    may_confirm = ""  # the figure that may be insisted on; the page then shows the button for it

    def clean_made_at(self) -> datetime:
        moment = self.cleaned_data["made_at"] or timezone.now()
        return self.not_before_the_saw(moment)

    def not_before_the_saw(self, moment: datetime) -> datetime:
        if self.started_on and timezone.localdate(moment) < self.started_on:
            day = self.started_on
            raise ValidationError(f"This wood was sawn on {day.day} {day:%b %Y}: give that day or a later one.")
        return moment

    def read_weight(self, name: str, unit_name: str) -> Typed | None:
        """Read one weight in the unit chosen beside it; what is wrong goes beside its field."""
        text = (self.cleaned_data.get(name) or "").strip()
        if not text:
            return None
        try:
            if text.startswith(("-", "−")):
                raise CannotRead("A weight is more than nothing: type what the scale shows.")
            return read_weight_lb(text, self.cleaned_data.get(unit_name) or usual_scale_unit())
        except (CannotRead, OutsideRange) as error:
            self.add_error(name, ValidationError(str(error)))
            return None


def weight_input(label: str, required: bool = True, help_text: str = "") -> forms.CharField:
    """An input for what a scale shows."""
    field = forms.CharField(label=label, required=required, max_length=40, help_text=help_text)
    field.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off", "data-weight": ""}
    return field


def unit_choice(choices: list[tuple[str, str]], label: str = "Unit of the scale") -> forms.ChoiceField:
    """The unit of a scale, as buttons beside the figure."""
    return forms.ChoiceField(label=label, choices=choices, widget=forms.RadioSelect)


class WeightForm(RecordForm):
    """A sample's weight."""

    weight = weight_input("Weight")
    unit = unit_choice(SCALE_UNITS)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        data["weight_typed"] = self.read_weight("weight", "unit")
        return data


class StackWeightForm(WeightForm):
    """A whole stack's weight, with what is not wood."""

    tare = weight_input(
        "Taken off for stickers and bolsters", required=False, help_text="The same each time, or empty each time."
    )
    field_order = ("weight", "unit", "tare")

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        data["tare_typed"] = self.read_weight("tare", "unit")
        return data


class OfCohortForm(RecordForm):
    """A record of one of several woods in a stack."""

    cohort = forms.ModelChoiceField(label="Which wood", queryset=Cohort.objects.none(), empty_label=None)

    def __init__(self, *args: Any, cohorts: list[Cohort], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["cohort"]
        field.queryset = Cohort.objects.filter(pk__in=[cohort.pk for cohort in cohorts])
        field.choices = [(cohort.pk, cohort_words(cohort)) for cohort in cohorts]
        field.required = len(cohorts) > 1
        if len(cohorts) == 1:
            field.widget = forms.HiddenInput()
        self.only = cohorts[0] if len(cohorts) == 1 else None
        self.started_on = min((cohort.started_on for cohort in cohorts), default=None)

    def clean_cohort(self) -> Cohort | None:
        return self.cleaned_data["cohort"] or self.only


class MeterForm(OfCohortForm):
    """A pin meter's reading at a depth."""

    reading_pct = PercentField(label="The meter shows", low=0, high=100)
    depth_in = ThicknessField(label="Depth of the pins", low=0.03, high=3)
    wood_temp_f = TempField(
        label="Temperature of the wood", low=-60, high=300, required=False,
        help_text="Cold wood reads too dry. Empty: no correction is made.",
    )  # fmt: skip
    meter_species = forms.CharField(
        label="Species that the meter is set to", max_length=60, required=False,
        help_text="As the meter calls it. No species correction is made here.",
    )  # fmt: skip
    field_order = ("cohort", "reading_pct", "depth_in", "wood_temp_f", "meter_species")


class OvenForm(OfCohortForm):
    """A section, weighed wet and dried in the oven, and what is left of the sample it was cut from."""

    wet = weight_input("Section, wet", help_text="Weighed as soon as it was cut.")
    oven_dry = weight_input("Section, oven-dry", help_text="When it loses no more weight at 103 °C (217 °F).")
    bench_unit = unit_choice(BENCH_UNITS, "Unit of the section's scale")
    cut_at = PastMomentField(label="Cut on", required=False, help_text="Empty: now.")
    sample = forms.ModelChoiceField(
        label="Cut from the sample", queryset=Sample.objects.none(), required=False, empty_label="None of them"
    )
    sample_weight = weight_input(
        "What is left of the sample weighs", required=False, help_text="It gives the sample's oven-dry weight."
    )
    unit = unit_choice(SCALE_UNITS)
    field_order = ("cohort", "wet", "oven_dry", "bench_unit", "cut_at", "sample", "sample_weight", "unit")

    def __init__(self, *args: Any, samples: list[Sample], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["made_at"]
        self.fields["sample"].queryset = Sample.objects.filter(pk__in=[sample.pk for sample in samples])
        self.fields["unit"].required = False

    def clean_cut_at(self) -> datetime:
        return self.not_before_the_saw(self.cleaned_data["cut_at"] or timezone.now())

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        for name, unit in (("wet", "bench_unit"), ("oven_dry", "bench_unit"), ("sample_weight", "unit")):
            data[f"{name}_typed"] = self.read_weight(name, unit)
        if data["sample_weight_typed"] and not data.get("sample"):
            self.add_error("sample", "Say which sample weighs that, or leave its weight empty.")
        return data


def figure_as_typed(measure: Typed) -> str:
    """The figure as it stood there, with its last noughts, which tell how fine the scale is.

    >>> figure_as_typed(read_weight_lb("4.460 lb")), figure_as_typed(read_weight_lb("12 lb 8 oz"))
    ('4.460', '12.5')
    """
    plain = re.fullmatch(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*[A-Za-z]*\s*", measure.text)
    return plain[1].replace(",", ".") if plain else f"{measure.typed_value:.10g}"


def cohort_words(cohort: Cohort) -> str:
    """A cohort as a choice: northern red oak, 8/4, sawn 3 Mar 2025."""
    from yard import quantities
    from yard.templatetags.quantities import day, species_name

    name = species_name(cohort.species_key)
    return f"{name[:1].upper()}{name[1:]}, {quantities.thickness(cohort.thickness_in)}, sawn {day(cohort.started_on)}"


class VoidForm(forms.Form):
    """Why a record does not count."""

    reason = forms.CharField(label="Why does it not count?", max_length=200, help_text="Such as “the wrong slab”.")


class SampleForm(forms.Form):
    """A cut board that is weighed again and again."""

    name = forms.CharField(label="Name", max_length=60, help_text="What is written on it, such as “A-3 east”.")
    place_note = forms.CharField(
        label="Where it lies", max_length=120, required=False, help_text="Such as “course 4, east end”."
    )


class WeighFindForm(forms.Form):
    """A code or a tag, typed or scanned."""

    q = forms.CharField(label="Code or tag", required=False, max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        attrs = {"autocapitalize": "characters", "autocomplete": "off", "spellcheck": "false", "enterkeyhint": "go"}
        self.fields["q"].widget.attrs |= attrs

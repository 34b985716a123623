"""What people type into fields with units."""

import pytest
from django import forms

from yard.forms.quantity_fields import (
    LengthField,
    LengthInField,
    MoistureField,
    TempField,
    ThicknessField,
    WeightField,
    WidthsField,
)
from yard.shown_units import showing


class SizesForm(forms.Form):
    thickness_in = ThicknessField(low=0.25, high=24, required=False)
    length_ft = LengthField(required=False)
    length_in = LengthInField(required=False)
    weight_lb = WeightField(required=False)
    temp_f = TempField(required=False)
    mc_pct = MoistureField(low=0, high=250, required=False)
    widths_in = WidthsField(required=False)


def read(units="imperial", **typed):
    with showing(units):
        form = SizesForm(typed)
        form.is_valid()
        return form


@pytest.mark.parametrize(
    ("name", "typed", "value"),
    [
        ("thickness_in", "8/4", 2.0),
        ("thickness_in", '2-1/8"', 2.125),
        ("thickness_in", "50.8 mm", 2.0),
        ("length_ft", "11' 6\"", 11.5),
        ("length_in", "8 ft", 96.0),
        ("length_in", "96 in", 96.0),
        ("weight_lb", "12 lb 6 oz", 12.375),
        ("temp_f", "21 °C", 69.8),
        ("mc_pct", "12,5 %", 12.5),
        ("widths_in", "18, 16.5, 15, 16, 19", [18, 16.5, 15, 16, 19]),
    ],
)
def test_figures_with_and_without_units_are_read(name, typed, value):
    form = read(**{name: typed})
    assert form.cleaned_data[name] == pytest.approx(value)


def test_bare_figures_of_a_metric_person_are_metric():
    form = read("metric", thickness_in="50.8", length_ft="3.048", weight_lb="1", temp_f="100")
    assert form.cleaned_data["thickness_in"] == pytest.approx(2.0)
    assert form.cleaned_data["length_ft"] == pytest.approx(10.0)
    assert form.cleaned_data["weight_lb"] == pytest.approx(2.20462262)
    assert form.cleaned_data["temp_f"] == pytest.approx(212.0)


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("thickness_in", "two", "type it like"),
        ("thickness_in", "-2", "type it like"),
        ("thickness_in", "30", "too large: at most 24 in"),
        ("thickness_in", "3 kg", "type it like"),
        ("weight_lb", "0", "nothing"),
        ("mc_pct", "300", "0 to 250%"),
        ("mc_pct", "wet", "number"),
        ("widths_in", "18; 16 cm; 15", "Give all widths their unit"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_words_and_stays_in_the_field(name, typed, words):
    form = read(**{name: typed})
    assert words in form.errors[name][0]
    assert f'value="{typed}"' in str(form[name])


def test_what_was_typed_is_there_for_the_record():
    form = read(weight_lb="5,6 kg")
    typed = form.fields["weight_lb"].typed
    assert (typed.typed_value, typed.typed_unit) == (5.6, "kg")


@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_untouched_figure_comes_back_exactly(units):
    exact = {"thickness_in": 54 / 25.4, "length_ft": 3.3 / 0.3048, "length_in": 100 / 3, "widths_in": [1 / 3, 2.1]}
    with showing(units):
        shown = SizesForm(initial=exact)
        sent = {name: shown[name].value() for name in exact}
        form = SizesForm(sent, initial=exact)
        assert form.is_valid(), form.errors
    assert {name: form.cleaned_data[name] for name in exact} == exact

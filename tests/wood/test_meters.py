"""Pin meters: where the correction vanishes, which way it goes, and what is not believed.

The correction's constants are from memory and no published reading was at hand, so no figure of it is checked
against print: only what several texts say of it, and that the form is worked out as it was recalled.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.wood.meters import meter_corrected_pct, pin_reading
from yard.wood.moisture import meter_corrected_pct as offered_beside_moisture
from yard.wood.ranges import OutsideRange

ANY = st.floats(allow_nan=True, allow_infinity=True)


def test_the_correction_is_offered_beside_the_other_moisture_figures():
    assert offered_beside_moisture is meter_corrected_pct


def test_no_correction_is_needed_near_22_to_23_c():
    """From memory: neutral near 22 to 23 °C on the Douglas-fir scale; a meter shows tenths at best."""
    for reading in range(7, 29):
        assert meter_corrected_pct(reading, 72.5) == pytest.approx(reading, abs=0.1)


@pytest.mark.parametrize(
    ("temp_f", "by_hand"),
    [
        (32.0, 12.567 / 0.881),
        (68.0, (12.567 - 0.52 + 0.0204) / (0.881 * 1.1182)),
        (122.0, (12.567 - 1.3 + 0.1275) / (0.881 * 1.3221)),
    ],
)
def test_the_correction_is_the_recalled_form_worked_by_hand(temp_f, by_hand):
    """Form and constants from memory (PFAFF-GARRAHAN): this guards them against a slip, not that they are true.

    A reading of 12% at 0, 20 and 50 °C; 1.0056 to the 20th is 1.1182, to the 50th 1.3221.
    """
    assert meter_corrected_pct(12.0, temp_f) == pytest.approx(by_hand, abs=0.005)


@given(reading=st.floats(7, 28), temps=st.tuples(st.floats(-4, 140), st.floats(-4, 140)))
def test_colder_wood_reads_lower_than_it_is(reading, temps):
    colder, warmer = sorted(temps)
    assert meter_corrected_pct(reading, colder) >= meter_corrected_pct(reading, warmer)


@given(readings=st.tuples(st.floats(7, 28), st.floats(7, 28)), temp=st.floats(-4, 140))
def test_a_higher_reading_means_wetter_wood(readings, temp):
    lower, higher = sorted(readings)
    assert meter_corrected_pct(lower, temp) <= meter_corrected_pct(higher, temp)


@pytest.mark.parametrize(("reading", "advice"), [(6.9, "weigh a sample"), (28.1, "dry a section in the oven")])
def test_a_reading_pins_cannot_give_is_refused_with_what_to_do(reading, advice):
    with pytest.raises(OutsideRange, match=advice):
        meter_corrected_pct(reading, 70)


def test_wood_too_cold_or_hot_for_the_correction_is_refused():
    for temp_f in (-4.1, 140.1):
        with pytest.raises(OutsideRange, match="nearer to room temperature"):
            meter_corrected_pct(12, temp_f)


def test_a_reading_outside_the_range_is_kept_but_carries_no_weight_and_says_why():
    for reading, temp_f, why in ((40, 60, "Over 28%"), (5, 60, "Under 7%"), (12, -20, "Wood temperature")):
        judged = pin_reading(reading, temp_f)
        assert (judged.usable, judged.corrected_pct) == (False, None)
        assert judged.reading_pct == reading
        assert why in judged.reason


def test_a_reading_in_range_that_corrects_out_of_it_is_not_believed():
    assert not pin_reading(27, 0).usable
    assert pin_reading(27, 72).usable
    assert not pin_reading(7.5, 130).usable


def test_a_believed_reading_is_the_corrected_one():
    judged = pin_reading(14, 50)
    assert judged.usable
    assert judged.corrected_pct == meter_corrected_pct(14, 50)
    assert judged.reason == ""


@given(reading=ANY, temp=ANY)
def test_no_reading_makes_anything_but_a_figure_or_a_named_range(reading, temp):
    for ask in (
        lambda: meter_corrected_pct(reading, temp),
        lambda: pin_reading(reading, temp).corrected_pct,
    ):
        try:
            found = ask()
        except OutsideRange:
            continue
        assert found is None or math.isfinite(found)

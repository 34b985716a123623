"""What people type is read as they mean it, written back the same, and refused in words when it cannot be read."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.wood import typed
from yard.wood.quarters import nominal_in, quarters_text
from yard.wood.ranges import OutsideRange
from yard.wood.typed import CannotRead, Typed

READERS = (
    typed.read_thickness_in,
    typed.read_width_in,
    typed.read_diameter_in,
    typed.read_length_ft,
    typed.read_weight_lb,
    typed.read_temp_f,
)


@pytest.mark.parametrize(
    ("text", "thickness_in", "typed_value", "typed_unit"),
    [
        ("8/4", 2.0, 8.0, "quarters"),
        ("5/4", 1.25, 5.0, "quarters"),
        ("16 / 4", 4.0, 16.0, "quarters"),
        ('8/4"', 2.0, 8.0, "quarters"),
        ("2 1/8", 2.125, 2.125, "in"),
        ('2-1/8"', 2.125, 2.125, "in"),
        ("2 – 1/8 in", 2.125, 2.125, "in"),
        ("2⅛", 2.125, 2.125, "in"),
        ("2 ⅛″", 2.125, 2.125, "in"),
        ("½", 0.5, 0.5, "in"),
        ("1⁄2 in", 0.5, 0.5, "in"),
        ("3/4", 0.75, 0.75, "in"),
        ("2,5", 2.5, 2.5, "in"),
        ("2.125 inches", 2.125, 2.125, "in"),
        (".75", 0.75, 0.75, "in"),
        ("50.8 mm", 2.0, 50.8, "mm"),
        ("50,8mm", 2.0, 50.8, "mm"),
        ("5.08 cm", 2.0, 5.08, "cm"),
        ("0,0508 m", 2.0, 0.0508, "m"),
    ],
)
def test_thickness_is_read_and_kept_as_typed(text, thickness_in, typed_value, typed_unit):
    found = typed.read_thickness_in(text)
    assert found.value == pytest.approx(thickness_in, rel=1e-12)
    assert found == Typed(found.value, "in", typed_value, typed_unit, text.strip())


@pytest.mark.parametrize(
    ("text", "length_ft"),
    [
        ("11' 6\"", 11.5),
        ("11'6", 11.5),
        ("11′ 6″", 11.5),
        ("11’ 6”", 11.5),
        ("11 ' 6 ''", 11.5),
        ("11'-6\"", 11.5),
        ("11 ft 6 in", 11.5),
        ("11 ft. 6 in.", 11.5),
        ("11 feet, 6 inches", 11.5),
        ("11' 6½\"", 11.0 + 6.5 / 12.0),
        ("11' 6 1/2\"", 11.0 + 6.5 / 12.0),
        ("138 in", 11.5),
        ('138"', 11.5),
        ("11.5", 11.5),
        ("11 1/2", 11.5),
        ("3.048 m", 10.0),
        ("304,8 cm", 10.0),
        ("3 048 mm", 10.0),
        ("3 m 4.8 cm", 10.0),
    ],
)
def test_length_is_read(text, length_ft):
    assert typed.read_length_ft(text).value == pytest.approx(length_ft, rel=1e-12)


def test_three_digits_after_a_comma_are_thousands_unless_the_yard_writes_decimals_so():
    with pytest.raises(OutsideRange, match="length 3048 m"):
        typed.read_length_ft("3,048 m")
    assert typed.read_length_ft("3,048 m", decimal_comma=True).value == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("text", "weight_lb"),
    [
        ("12.4", 12.4),
        ("12 lb 6 oz", 12.375),
        ("12lbs 6", 12.375),
        ("6 oz", 0.375),
        ("1,200", 1200.0),
        ("1 200 lb", 1200.0),
        ("1,234.5 lb", 1234.5),
        ("45.359237 kg", 100.0),
        ("1.234,5 kg", 1234.5 / 0.45359237),
        ("453.59237 g", 1.0),
        ("45 kg 359.237 g", 100.0),
    ],
)
def test_weight_is_read(text, weight_lb):
    assert typed.read_weight_lb(text).value == pytest.approx(weight_lb, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "temp_f"),
    [("70", 70.0), ("70°", 70.0), ("70 F", 70.0), ("21 °C", 69.8), ("-40c", -40.0), ("−5 °C", 23.0), ("21,5 °c", 70.7)],
)
def test_temperature_is_read(text, temp_f):
    assert typed.read_temp_f(text).value == pytest.approx(temp_f, abs=1e-9)


def test_a_bare_figure_is_in_the_unit_of_the_form():
    assert typed.read_thickness_in("54", default_unit="mm").typed_unit == "mm"
    assert typed.read_temp_f("21", default_unit="°C").value == pytest.approx(69.8)
    assert typed.default_unit("weight", "metric") == "kg"


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (typed.read_thickness_in, ""),
        (typed.read_thickness_in, "   "),
        (typed.read_thickness_in, "two"),
        (typed.read_thickness_in, "-2"),
        (typed.read_thickness_in, "0"),
        (typed.read_thickness_in, "1/0"),
        (typed.read_thickness_in, "2 9/8"),
        (typed.read_thickness_in, "2 kg"),
        (typed.read_thickness_in, "1e3"),
        (typed.read_thickness_in, "2 x 4"),
        (typed.read_thickness_in, "nan"),
        (typed.read_thickness_in, "inf"),
        (typed.read_length_ft, "11' 14\""),
        (typed.read_length_ft, "11.5' 6\""),
        (typed.read_length_ft, "11'-"),
        (typed.read_length_ft, "6\" 11'"),
        (typed.read_length_ft, "11 12 13"),
        (typed.read_weight_lb, "12 stone"),
        (typed.read_weight_lb, "1,20,0"),
        (typed.read_temp_f, "70 K"),
        (typed.read_temp_f, "--5"),
        (typed.read_number, "one"),
        (typed.read_whole, "3.5"),
        (typed.read_percent, "%"),
        (typed.read_widths_in, "45 cm; 42; 40"),
        (typed.read_widths_in, ""),
        (nominal_in, "8"),
        (nominal_in, "0/4"),
        (nominal_in, "8/3"),
    ],
)
def test_what_cannot_be_read_says_what_to_type(reader, text):
    with pytest.raises(CannotRead) as refused:
        reader(text)
    message = str(refused.value)
    assert message.endswith(".")
    assert "type" in message.lower() or "check" in message


def test_a_slip_of_the_unit_is_caught_by_the_bounds_and_named_in_the_unit_as_typed():
    with pytest.raises(OutsideRange, match=r"thickness 54 in is outside .* in\. Type it like 8/4, 2 1/8 or 54 mm\."):
        typed.read_thickness_in("54")
    with pytest.raises(OutsideRange, match=r"thickness 2125 mm is outside .* 1016 mm"):
        typed.read_thickness_in("2125 mm")


def test_widths_keep_their_order_and_share_the_unit_of_the_last():
    assert [w.value for w in typed.read_widths_in("18, 16 1/2, 15, 16, 19")] == [18.0, 16.5, 15.0, 16.0, 19.0]
    assert [w.value for w in typed.read_widths_in("18 16 1/2 15-1/4")] == [18.0, 16.5, 15.25]
    assert {w.typed_unit for w in typed.read_widths_in("45,5 42 40 cm")} == {"cm"}
    assert [w.value for w in typed.read_widths_in("18\n16.5\n15")] == [18.0, 16.5, 15.0]


sixteenths = st.integers(min_value=1, max_value=640).map(lambda parts: parts / 16.0)


@given(sixteenths)
def test_a_thickness_written_in_sixteenths_reads_back_the_same(thickness_in):
    text = typed.format_thickness(thickness_in, denominator=16)
    assert typed.read_thickness_in(text).value == thickness_in


@given(sixteenths)
def test_a_width_written_in_sixteenths_reads_back_the_same(width_in):
    assert typed.read_width_in(typed.format_width(width_in, denominator=16)).value == width_in


@given(st.integers(min_value=1, max_value=150 * 12 * 8))
def test_a_length_written_in_feet_inches_and_eighths_reads_back_the_same(eighths):
    length_ft = eighths / 96.0
    assert typed.read_length_ft(typed.format_length(length_ft)).value == pytest.approx(length_ft, rel=1e-12)


@given(st.integers(min_value=1, max_value=1016))
def test_a_thickness_in_whole_millimetres_reads_back_the_same(thickness_mm):
    found = typed.read_thickness_in(f"{thickness_mm} mm")
    assert typed.read_thickness_in(typed.format_thickness(found.value, "metric")).typed_value == thickness_mm


@given(st.integers(min_value=1, max_value=4500))
def test_a_length_in_centimetres_reads_back_the_same(length_cm):
    found = typed.read_length_ft(f"{length_cm} cm")
    back = typed.read_length_ft(typed.format_length(found.value, "metric"))
    assert back.value == pytest.approx(found.value, rel=1e-12)


@given(st.integers(min_value=1, max_value=5_000_000), st.sampled_from(["imperial", "metric"]))
def test_a_weight_reads_back_to_the_decimals_shown(tenths, system):
    weight_lb = tenths / 10.0
    back = typed.read_weight_lb(typed.format_weight(weight_lb, system, decimals=2))
    slack = 0.005 / (0.45359237 if system == "metric" else 1.0)
    # Under a kilogram whole grams are shown.
    slack = max(slack, 0.0005 / 0.45359237) if system == "metric" else slack
    assert abs(back.value - weight_lb) <= slack + 1e-9


@given(st.integers(min_value=-100, max_value=500), st.sampled_from(["imperial", "metric"]))
def test_a_temperature_reads_back_to_the_tenth_shown(temp_f, system):
    back = typed.read_temp_f(typed.format_temp(float(temp_f), system, decimals=1))
    assert abs(back.value - temp_f) <= 0.09 + 1e-9


@given(st.integers(min_value=4, max_value=160))
def test_a_nominal_thickness_reads_back_from_its_name_in_quarters(quarters):
    assert nominal_in(quarters_text(quarters / 4.0)) == quarters / 4.0
    assert typed.read_thickness_in(f"{quarters}/4").value == quarters / 4.0


@given(st.floats(min_value=0.0, max_value=1e6), st.sampled_from([8, 16]), st.sampled_from(["imperial", "metric"]))
def test_what_is_shown_lies_within_half_a_step_of_the_value(value, denominator, system):
    """Writing rounds once: to the nearest fraction, millimetre or centimetre, and no further."""
    text = typed.format_thickness(value, system, denominator)
    number, unit = text.rsplit(" ", 1)
    shown = typed.read_number(number)
    shown_in = shown / 25.4 if unit == "mm" else shown
    half_step_in = 0.5 / 25.4 if unit == "mm" else 0.5 / denominator
    assert abs(shown_in - value) <= half_step_in * (1 + 1e-6) + value * 1e-12


typing = st.one_of(
    st.text(max_size=100),
    st.text(alphabet="0123456789 /.,-+'\"′″½⅛⁄°%;\nfinmckglboztd", max_size=100),
    st.from_regex(r"\A[0-9]{1,90} ?([0-9]{1,90}/[0-9]{0,90})? ?(in|ft|'|\"|mm|kg|oz|°C)?\Z"),
)


def _read_or_refusal(reader, text, **options):
    """What the reader gives back, or the sentence it refuses with; any other error escapes and fails the test."""
    try:
        return reader(text, **options)
    except (CannotRead, OutsideRange) as refused:
        return str(refused)


@given(typing, st.booleans())
def test_no_text_makes_anything_but_a_finite_value_or_a_refusal_in_words(text, decimal_comma):
    for reader in READERS:
        found = _read_or_refusal(reader, text, decimal_comma=decimal_comma)
        if isinstance(found, str):
            assert len(found) > 10
        else:
            assert math.isfinite(found.value)
            assert math.isfinite(found.typed_value)
            assert found.text == text.strip()


@given(typing, st.booleans())
def test_no_text_breaks_the_readers_of_numbers_percentages_widths_and_quarters(text, decimal_comma):
    for reader, options in (
        (typed.read_number, {"decimal_comma": decimal_comma}),
        (typed.read_percent, {"decimal_comma": decimal_comma}),
        (typed.read_whole, {}),
        (nominal_in, {}),
    ):
        found = _read_or_refusal(reader, text, **options)
        assert len(found) > 10 if isinstance(found, str) else math.isfinite(found)
    widths = _read_or_refusal(typed.read_widths_in, text, decimal_comma=decimal_comma)
    if isinstance(widths, str):
        assert len(widths) > 10
    else:
        assert widths
        assert all(math.isfinite(width.value) for width in widths)


@pytest.mark.parametrize("text", ["1" * 10_000, "1 " * 5_000, "1/" * 5_000, "1," * 5_000, "'" * 10_000, "½" * 10_000])
def test_a_long_run_of_anything_is_refused_at_once(text):
    for reader in (*READERS, typed.read_number, typed.read_widths_in):
        with pytest.raises(CannotRead):
            reader(text)

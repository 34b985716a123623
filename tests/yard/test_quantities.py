"""Quantities as text in the units of the person who reads."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.template import engines
from django.utils import timezone

from yard import quantities
from yard.shown_units import showing, shown

# Stored value, filter, as an imperial person reads it, as a metric one does. Conversions by the exact inch,
# foot and pound (SI-EXACT in yard/wood/SOURCES.md), worked by hand.
WRITTEN = [
    (2.125, "thickness", "2 1/8 in", "54 mm"),
    (0.75, "thickness", "3/4 in", "19 mm"),
    (16.5, "width", "16 1/2 in", "41.9 cm"),
    (11.5, "length_ft", "11' 6\"", "3.51 m"),
    (96, "length_in", "8'", "2.44 m"),
    (1584, "area_in2", "1,584 in²", "1.02 m²"),
    (32, "area_ft2", "32 ft²", "2.97 m²"),
    (4.46, "weight", "4.46 lb", "2.02 kg"),
    (2500, "weight", "2,500.0 lb", "1,134.0 kg"),
    (212, "temp", "212 °F", "100.0 °C"),
    (-40, "temp", "-40 °F", "-40.0 °C"),
    (9, "temp_step", "9 °F", "5 °C"),
    (-9, "temp_step", "−9 °F", "−5 °C"),
    (1044.4, "bf", "1,044 bf", "2.465 m³"),
    (1234.0, "scale_bf", "1,234 bf", "1,234 bf"),
    (100, "ft3", "100 ft³", "2.832 m³"),
    (18.44, "mc", "18.4%", "18.4%"),
    (92.4, "mc", "92%", "92%"),
    (65.2, "pct", "65%", "65%"),
    (8, "quarters", "8/4", "8/4"),
    (860, "elevation", "860 ft", "262 m"),
]


@pytest.mark.parametrize(("value", "name", "imperial", "metric"), WRITTEN)
def test_quantity_is_written_in_the_units_of_who_reads(value, name, imperial, metric):
    template = engines["django"].from_string(f"{{% autoescape off %}}{{{{ value|{name} }}}}{{% endautoescape %}}")
    with showing("imperial"):
        assert template.render({"value": value}) == imperial
    with showing("metric"):
        assert template.render({"value": value}) == metric


@pytest.mark.parametrize("name", sorted({row[1] for row in WRITTEN} | {"money"}))
@pytest.mark.parametrize("nothing", [None, ""])
def test_what_is_not_known_is_a_dash(name, nothing):
    assert getattr(quantities, name)(nothing) == "–"


def test_figure_that_is_no_number_is_a_dash_and_never_nan():
    assert quantities.mc(float("nan")) == "–"
    assert quantities.weight(float("inf")) == "–"


@pytest.mark.parametrize(
    ("currency", "amount", "written"),
    [
        ("USD", Decimal("1234.5"), "$1,234.50"),
        ("EUR", Decimal("-3"), "−€3.00"),
        ("SEK", Decimal("99.995"), "100.00 SEK"),
        ("USD", Decimal("0.005"), "$0.01"),
    ],
)
def test_money_is_written_to_the_cent_in_the_currency_of_the_yard(currency, amount, written):
    with showing(currency=currency):
        assert quantities.money(amount) == written


def test_block_of_other_units_ends_where_it_ends():
    with showing("metric"):
        with showing("imperial"):
            assert not shown().metric
        assert shown().metric
    assert not shown().metric


def test_days_and_moments_are_written_in_the_zone_of_the_yard():
    template = engines["django"].from_string("{{ on|day }} / {{ at|moment }} / {{ never|day }}")
    late = datetime(2026, 3, 3, 2, 5, tzinfo=UTC)
    with timezone.override("America/Chicago"):
        assert template.render({"on": date(2026, 3, 3), "at": late}) == "3 Mar 2026 / 2 Mar 2026 20:05 / –"


def test_species_is_written_as_spoken_and_an_unknown_key_stays():
    template = engines["django"].from_string("{{ one|species_name }}, {{ other|species_name }}")
    assert template.render({"one": "oak-northern-red", "other": "gone"}) == "northern red oak, gone"

"""The names that the rest of the program calls, with their arguments; whatever is given, a figure or a named range."""

import importlib
import inspect
import math
from datetime import date
from decimal import Decimal

import numpy as np
import pytest

from yard.wood.ranges import OutsideRange
from yard.wood.species import species

CALLS = {
    "board_feet.board_feet_bf": {"thickness_in": 2.0, "width_in": 10.0, "length_ft": 7.0},
    "board_feet.surface_measure_ft2": {"width_in": 6.5, "length_ft": 8.0},
    "board_feet.slab_area_in2": {"widths_in": [18.0, 17.0, 16.0], "length_in": 96.0, "rule": "simpson"},
    "board_feet.slab_board_feet_bf": {
        "widths_in": [18.0, 17.0, 16.0], "length_in": 96.0, "thickness_in": 2.0, "rule": "trapezoid",
    },
    "log_rules.doyle_bf": {"diameter_in": 12.0, "length_ft": 16.0},
    "log_rules.scribner_decimal_c_bf": {"diameter_in": 12.0, "length_ft": 16.0},
    "log_rules.international_quarter_inch_bf": {"diameter_in": 12.0, "length_ft": 16.0},
    "log_rules.smalian_ft3": {"small_in": 10.0, "large_in": 12.0, "length_ft": 8.0},
    "stacking.courses": {"height_in": 54.0, "thickness_in": 1.125, "sticker_in": 0.75},
    "stacking.stack_board_feet_bf": {
        "width_ft": 4.0, "height_in": 54.0, "length_ft": 10.0, "nominal_in": 1.0, "thickness_in": 1.125,
        "sticker_in": 0.75, "fill": 0.9,
    },
    "stacking.open_air_area_ft2": {
        "course_count": 29, "sticker_in": 0.75, "length_ft": 10.0, "sticker_count": 6, "sticker_width_in": 1.25,
    },
    "humid_air.rh_pct_from_wet_bulb": {"dry_bulb_f": 120.0, "wet_bulb_f": 100.0, "elevation_ft": 900.0},
    "humid_air.wet_bulb_f": {"dry_bulb_f": 120.0, "rh_pct": 49.0, "elevation_ft": 900.0},
    "humid_air.dew_point_f": {"dry_bulb_f": 70.0, "rh_pct": 50.0},
    "moisture.equilibrium_mc_pct": {"temp_f": 70.0, "rh_pct": 65.0},
    "moisture.rh_pct_at_emc": {"temp_f": 70.0, "emc_pct": 12.0},
    "moisture.mc_pct": {"wet_lb": 30.0, "oven_dry_lb": 20.0},
    "moisture.oven_dry_lb": {"wet_lb": 30.0, "mc_pct": 50.0},
    "moisture.meter_corrected_pct": {"reading_pct": 12.0, "wood_temp_f": 70.0},
    "shrinkage.shrinkage_pct": {"species": "ash-white", "direction": "radial", "mc_pct": 10.0},
    "shrinkage.dimensional_coefficient": {"species": "ash-white", "direction": "radial"},
    "species.species": {"key": "oak-white"},
    "climate.nearest_city": {"lat_deg": 43.0, "lon_deg": -89.0},
    "climate.monthly_climate": {"lat_deg": 43.0, "lon_deg": -89.0, "elevation_ft": 900.0},
    "drying.air_drying_days": {
        "species": "oak-northern-red", "thickness_in": 1.0, "city": "WI-Madison", "start": date(2025, 6, 1),
        "target_mc_pct": 20.0, "start_mc_pct": 80.0,
    },
}  # fmt: skip
DEFAULTS = {
    "board_feet.slab_area_in2": {"rule": "trapezoid"},
    "board_feet.slab_board_feet_bf": {"rule": "trapezoid"},
    "humid_air.rh_pct_from_wet_bulb": {"elevation_ft": 0},
    "humid_air.wet_bulb_f": {"elevation_ft": 0},
    "drying.air_drying_days": {"target_mc_pct": 20, "start_mc_pct": None},
}
NO_NUMBERS = ("12", "abc", "", b"12", [], {}, object(), complex(1, 1), np.array([1.0, 2.0]).tolist())
NO_AIR_OR_SIZE = (math.nan, math.inf, -math.inf, 1e300, -1e300, 10**400, Decimal("NaN"))
LEFT_OPEN = {"elevation_ft", "start_mc_pct"}
# None stands for "not given" there


def _function(name):
    module, function = name.split(".")
    return getattr(importlib.import_module(f"yard.wood.{module}"), function)


def _numbers():
    return [
        (name, given)
        for name, arguments in CALLS.items()
        for given, value in arguments.items()
        if isinstance(value, (int, float))
    ]


@pytest.mark.parametrize("name", CALLS)
def test_the_function_takes_its_arguments_in_this_order_and_by_name(name):
    function, arguments = _function(name), CALLS[name]
    parameters = inspect.signature(function).parameters
    assert list(parameters)[: len(arguments)] == list(arguments)
    for given, default in DEFAULTS.get(name, {}).items():
        assert parameters[given].default == default
    by_name, by_place = function(**arguments), function(*arguments.values())
    assert by_name == by_place
    if isinstance(by_name, (int, float)):
        assert math.isfinite(by_name)


def test_a_species_stands_in_for_its_key_everywhere():
    for name, arguments in CALLS.items():
        if "species" in arguments:
            itself = {**arguments, "species": species(arguments["species"])}
            assert _function(name)(**itself) == _function(name)(**arguments)


@pytest.mark.parametrize(("name", "given"), _numbers())
def test_what_is_no_number_or_no_size_is_refused_by_the_name_of_its_range(name, given):
    for wrong in (*NO_NUMBERS, *NO_AIR_OR_SIZE, *(() if given in LEFT_OPEN else (None,))):
        with pytest.raises(OutsideRange) as refused:
            _function(name)(**{**CALLS[name], given: wrong})
        assert str(refused.value.what) in str(refused.value)
        assert refused.value.low is not None or refused.value.high is not None


@pytest.mark.parametrize(("name", "given"), _numbers())
def test_numbers_of_numpy_serve_as_plain_ones(name, given):
    plain = _function(name)(**CALLS[name])
    for kind in (np.float64, np.array):
        found = _function(name)(**{**CALLS[name], given: kind(CALLS[name][given])})
        assert found == plain


@pytest.mark.parametrize(
    ("name", "wrong", "words"),
    [
        ("board_feet.slab_area_in2", {"rule": "prismoidal"}, "none of trapezoid, simpson"),
        ("board_feet.surface_measure_ft2", {"half": "sideways"}, "none of up, down"),
        ("shrinkage.shrinkage_pct", {"direction": "diagonal"}, "Radial, tangential or volumetric"),
        ("shrinkage.shrinkage_pct", {"species": None}, "unknown species"),
        ("species.species", {"key": 7}, "unknown species"),
        ("drying.air_drying_days", {"species": "oak-norther-red"}, "Did you mean oak-northern-red"),
        ("drying.air_drying_days", {"city": "WI-Madisn"}, "Did you mean WI-Madison"),
        ("drying.air_drying_days", {"city": None}, "not a built-in place"),
        ("drying.air_drying_days", {"start": None}, "Give a date"),
        ("drying.air_drying_days", {"start": "2025-06-01"}, "Give a date"),
    ],
)
def test_a_word_that_is_not_known_is_refused_in_words(name, wrong, words):
    with pytest.raises(OutsideRange, match=words):
        _function(name)(**{**CALLS[name], **wrong})

"""Humid air: relative humidity, wet bulb, dew point, water held, weight and heat, at any elevation.

A wet bulb here is a wick in moving air, which the kiln tables follow; it stands a little off the
thermodynamic wet bulb that air-conditioning formulas give. Relative humidity is always over liquid water,
as hygrometers and weather stations report it in frost too (WMO-8).
"""

import math
from typing import TypeVar, overload

import numpy as np
import psychrolib

from yard.wood.columns import Floats, as_column, require_all_in_range
from yard.wood.ranges import OutsideRange, require_range

# psychrolib keeps one unit system for the whole process: it is set here, once, and this is the only module of
# the program that imports it
psychrolib.SetUnitSystem(psychrolib.SI)

COLDEST_F, HOTTEST_F = -60.0, 270.0
# °F; Hyland and Wexler's equation holds from 0 to 200 °C, and is carried on over supercooled water below 0 °C
LOWEST_FT, HIGHEST_FT = -1500.0, 15000.0
# ft; from the lowest dry land to the highest settlements
COLDEST_WICK_F = 33.0
# °F; below it a wick freezes and reads neither water nor ice
WICK_HOTTEST_F = 210.0
# °F; the hottest row of AH-188 Table 1-6 (from memory)
DRIEST_PCT = 0.5
# %; a dew point of air drier than this has no use in a yard and leaves the range of the equation

WICK_ADVICE = "A wick freezes there: use a humidity (RH) sensor instead"
PSYCHROMETER_PER_C = 6.6e-4
# 1/°C; Ferrel's psychrometer constant for a ventilated wick (PSYCHROMETER, from memory)
KPA_PER_PSI = 6.894757293168361
# exact from the definitions of pound, inch and standard gravity
WATER_LB_FT3_PER_PSI_R = 1.0 / (1545.349 / 18.01528 / 144.0)
# lb °R/(ft³ psi); the gas constant of water vapour, 1545.349 ft lbf/(lb-mol °R) over 18.01528 lb/lb-mol

Number = TypeVar("Number", float, Floats)


def pressure_psi(elevation_ft: float = 0.0) -> float:
    """Return the pressure of the standard atmosphere at an elevation.

    Parameters: `elevation_ft` above sea level [ft], -1,500 to 15,000. Returns [psi]. Raises OutsideRange.
    Source: PSYCHROLIB (ASHRAE Handbook of Fundamentals 2017, ch. 1, eq. 3).
    Check: 14.696 psi at sea level, by definition of the standard atmosphere.

    >>> round(pressure_psi(0), 3)
    14.696
    """
    return _pressure_kpa(elevation_ft) / KPA_PER_PSI


def saturation_pressure_psi(temp_f: float) -> float:
    """Return the vapour pressure of water, liquid or supercooled, at a temperature.

    Parameters: `temp_f` [°F], -60 to 270. Returns [psi]. Raises OutsideRange.
    Source: HYLAND-WEXLER (ASHRAE Handbook of Fundamentals 2017, ch. 1, eq. 6).
    Check: 14.7 psi at 212 °F, the boiling point at sea level.

    >>> round(saturation_pressure_psi(212), 1)
    14.7
    """
    require_range("temperature", temp_f, COLDEST_F, HOTTEST_F, "°F")
    return _saturation_kpa(_celsius(float(temp_f))) / KPA_PER_PSI


@overload
def rh_pct_from_wet_bulb(dry_bulb_f: float, wet_bulb_f: float, elevation_ft: float = 0) -> float: ...
@overload
def rh_pct_from_wet_bulb(dry_bulb_f: Floats, wet_bulb_f: Floats, elevation_ft: float = 0) -> Floats: ...
def rh_pct_from_wet_bulb(
    dry_bulb_f: float | Floats, wet_bulb_f: float | Floats, elevation_ft: float = 0
) -> float | Floats:
    """Return the relative humidity from a dry bulb and a wick's wet bulb.

    Parameters: `dry_bulb_f` [°F], 33 to 210; `wet_bulb_f` [°F], 33 to the dry bulb, each one number or an
    array; `elevation_ft` [ft], -1,500 to 15,000. Returns relative humidity [%], 0 to 100. Raises
    OutsideRange, for a wet bulb under 33 °F with the advice to use a humidity sensor.
    Source: PSYCHROMETER. Check: 120 °F with a wet bulb of 100 °F is 49% (AH-188 Table 1-6, from memory).

    >>> round(rh_pct_from_wet_bulb(120, 100))
    49
    """
    dry, wet = as_column(dry_bulb_f), as_column(wet_bulb_f)
    require_all_in_range("wet bulb", wet, COLDEST_WICK_F, WICK_HOTTEST_F, "°F", WICK_ADVICE)
    require_all_in_range("dry bulb", dry, COLDEST_WICK_F, WICK_HOTTEST_F, "°F")
    pressure = _pressure_kpa(elevation_ft)
    if isinstance(dry, float) and isinstance(wet, float):
        _require_wet_below_dry(dry, wet)
        humidity = _wick_rh_pct(_celsius(dry), _celsius(wet), pressure)
        _require_possible(humidity, dry, wet, elevation_ft)
        return min(humidity, 100.0)
    drys, wets = np.broadcast_arrays(np.asarray(dry), np.asarray(wet))
    humidities = _wick_rh_pct(_celsius(drys), _celsius(wets), pressure)
    bad = (wets > drys) | (humidities < 0.0)
    if bad.any():
        _require_wet_below_dry(float(drys[bad][0]), float(wets[bad][0]))
        _require_possible(float(humidities[bad][0]), float(drys[bad][0]), float(wets[bad][0]), elevation_ft)
    return np.minimum(humidities, 100.0)


def wet_bulb_f(dry_bulb_f: float, rh_pct: float, elevation_ft: float = 0) -> float:
    """Return what a wick's wet bulb reads in air of a given temperature and humidity.

    Parameters: `dry_bulb_f` [°F], 33 to 210; `rh_pct` [%], 0 to 100; `elevation_ft` [ft], -1,500 to
    15,000. Returns [°F]. Raises OutsideRange, also where the wick would freeze or boil.
    Source: PSYCHROMETER solved for the wet bulb. Check: 120 °F at 49% is 100 °F (AH-188 Table 1-6,
    from memory).

    >>> round(wet_bulb_f(120, 49))
    100
    """
    require_range("dry bulb", dry_bulb_f, COLDEST_WICK_F, WICK_HOTTEST_F, "°F")
    require_range("relative humidity", rh_pct, 0.0, 100.0, "%")
    pressure = _pressure_kpa(elevation_ft)
    wet_f = _solve_wet_bulb_f(float(dry_bulb_f), float(rh_pct), pressure)
    boiling_hint = "Water boils there at that elevation: no such air"
    _require_not_boiling(wet_f, pressure, boiling_hint)
    return require_range("wet bulb", wet_f, COLDEST_WICK_F, WICK_HOTTEST_F, "°F", WICK_ADVICE)


def dew_point_f(dry_bulb_f: float, rh_pct: float) -> float:
    """Return the temperature at which the air begins to drop its water.

    Parameters: `dry_bulb_f` [°F], -60 to 270; `rh_pct` [%], 0.5 to 100. Returns [°F], over liquid water
    below freezing too. Raises OutsideRange.
    Source: HYLAND-WEXLER solved for temperature. Check: saturated air is at its dew point.

    >>> round(dew_point_f(70, 100), 3)
    70.0
    """
    require_range("dry bulb", dry_bulb_f, COLDEST_F, HOTTEST_F, "°F")
    require_range("relative humidity", rh_pct, DRIEST_PCT, 100.0, "%")
    temp_c = _celsius(float(dry_bulb_f))
    wanted = math.log(_saturation_kpa(temp_c) * rh_pct / 100.0)
    low, high = -130.0, temp_c
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if math.log(_saturation_kpa(middle)) < wanted else (low, middle)
    return high * 1.8 + 32.0


@overload
def rh_pct_from_dew_point(dry_bulb_f: float, dew_point_f: float) -> float: ...
@overload
def rh_pct_from_dew_point(dry_bulb_f: Floats, dew_point_f: Floats) -> Floats: ...
def rh_pct_from_dew_point(dry_bulb_f: float | Floats, dew_point_f: float | Floats) -> float | Floats:
    """Return the relative humidity from a dry bulb and a dew point, as weather stations report them.

    Parameters: `dry_bulb_f` [°F], -60 to 270; `dew_point_f` [°F], -140 to the dry bulb, each one number or
    an array; a dew point up to 1 °F over the dry bulb (rounding) counts as saturated. Returns relative
    humidity over liquid water [%]. Raises OutsideRange.
    Source: HYLAND-WEXLER; WMO-8 for the convention below freezing. Check: dew point = dry bulb is 100%.

    >>> rh_pct_from_dew_point(50, 50)
    100.0
    """
    dry, dew = as_column(dry_bulb_f), as_column(dew_point_f)
    require_all_in_range("dry bulb", dry, COLDEST_F, HOTTEST_F, "°F")
    require_all_in_range("dew point", dew, -140.0, HOTTEST_F, "°F")
    hint = "A dew point cannot stand above the temperature of its air"
    if isinstance(dry, float) and isinstance(dew, float):
        require_range("dew point", dew, None, dry + 1.0, "°F", hint)
        return min(100.0, 100.0 * _saturation_kpa(_celsius(dew)) / _saturation_kpa(_celsius(dry)))
    drys, dews = np.broadcast_arrays(np.asarray(dry), np.asarray(dew))
    bad = dews > drys + 1.0
    if bad.any():
        raise OutsideRange("dew point", float(dews[bad][0]), None, float(drys[bad][0]), "°F", hint)
    return np.minimum(100.0, 100.0 * _saturation_kpa(_celsius(dews)) / _saturation_kpa(_celsius(drys)))


def humidity_ratio(dry_bulb_f: float, rh_pct: float, elevation_ft: float = 0) -> float:
    """Return the water that the air holds, in pounds a pound of dry air.

    Parameters: `dry_bulb_f` [°F], -60 to 270; `rh_pct` [%], 0 to 100; `elevation_ft` [ft]. Returns [lb/lb].
    Raises OutsideRange, also for air that would be nothing but steam.
    Source: PSYCHROLIB (ASHRAE Handbook of Fundamentals 2017, ch. 1, eq. 20).
    Check: saturated air at 70 °F holds 0.0158 lb/lb (the same handbook's table 2, from memory).

    >>> round(humidity_ratio(70, 100), 4)
    0.0158
    """
    vapour, pressure = _vapour_kpa(dry_bulb_f, rh_pct), _pressure_kpa(elevation_ft)
    if vapour >= 0.99 * pressure:
        most = 99.0 * pressure / _saturation_kpa(_celsius(float(dry_bulb_f)))
        hint = "Hotter than boiling, wetter air than that is nothing but steam"
        raise OutsideRange("relative humidity", rh_pct, 0.0, math.floor(most * 100) / 100, "%", hint)
    return float(psychrolib.GetHumRatioFromVapPres(vapour * 1000.0, pressure * 1000.0))


def absolute_humidity_lb_per_ft3(dry_bulb_f: float, rh_pct: float) -> float:
    """Return the weight of water vapour in a cubic foot of air.

    Parameters: `dry_bulb_f` [°F], -60 to 270; `rh_pct` [%], 0 to 100. Returns [lb/ft³]. Raises OutsideRange.
    Source: HYLAND-WEXLER with the ideal gas law. Check: saturated air at 20 °C holds 17.3 g/m³
    (common tables, from memory).

    >>> round(absolute_humidity_lb_per_ft3(68, 100) * 16018.46, 1)
    17.3
    """
    vapour_psi = _vapour_kpa(dry_bulb_f, rh_pct) / KPA_PER_PSI
    return vapour_psi * WATER_LB_FT3_PER_PSI_R / (dry_bulb_f + 459.67)


def enthalpy_btu_per_lb(dry_bulb_f: float, rh_pct: float, elevation_ft: float = 0) -> float:
    """Return the heat in moist air, counted from dry air at 0 °F, a pound of dry air.

    Parameters: as `humidity_ratio`. Returns [Btu/lb of dry air]. Raises OutsideRange.
    Source: ASHRAE Handbook of Fundamentals 2017, ch. 1, eq. 30, inch-pound form (PSYCHROLIB carries the
    same). Check: 34.09 Btu/lb for saturated air at 70 °F (the handbook's table 2, from memory), within
    0.1 since the table is for the real gas.

    >>> abs(enthalpy_btu_per_lb(70, 100) - 34.09) < 0.1
    True
    """
    ratio = humidity_ratio(dry_bulb_f, rh_pct, elevation_ft)
    return 0.240 * dry_bulb_f + ratio * (1061.0 + 0.444 * dry_bulb_f)


def air_density_lb_per_ft3(dry_bulb_f: float, rh_pct: float, elevation_ft: float = 0) -> float:
    """Return the weight of a cubic foot of moist air.

    Parameters: as `humidity_ratio`. Returns [lb/ft³]. Raises OutsideRange.
    Source: PSYCHROLIB (ASHRAE Handbook of Fundamentals 2017, ch. 1, eq. 11 and 26).
    Check: about 0.075 lb/ft³, the standard air of fan makers (common practice).

    >>> round(air_density_lb_per_ft3(70, 0), 3)
    0.075
    """
    ratio = humidity_ratio(dry_bulb_f, rh_pct, elevation_ft)
    pressure_pa = _pressure_kpa(elevation_ft) * 1000.0
    density_kg_m3 = float(psychrolib.GetMoistAirDensity(_celsius(float(dry_bulb_f)), ratio, pressure_pa))
    return density_kg_m3 * 0.3048**3 / 0.45359237


def _celsius(temp_f: Number) -> Number:
    return (temp_f - 32.0) / 1.8


def _pressure_kpa(elevation_ft: float) -> float:
    require_range("elevation", elevation_ft, LOWEST_FT, HIGHEST_FT, "ft")
    return float(psychrolib.GetStandardAtmPressure(elevation_ft * 0.3048)) / 1000.0


def _saturation_kpa(temp_c: Number) -> Number:
    """Vapour pressure over liquid water [kPa], one number or an array (HYLAND-WEXLER)."""
    kelvin = temp_c + 273.15
    powers = 1.3914993 + kelvin * (-4.8640239e-2 + kelvin * (4.1764768e-5 + kelvin * -1.4452093e-8))
    if isinstance(kelvin, np.ndarray):
        return np.exp(powers - 5.8002206e3 / kelvin + 6.5459673 * np.log(kelvin)) * 0.001
    return math.exp(powers - 5.8002206e3 / kelvin + 6.5459673 * math.log(kelvin)) * 0.001


def _vapour_kpa(dry_bulb_f: float, rh_pct: float) -> float:
    require_range("dry bulb", dry_bulb_f, COLDEST_F, HOTTEST_F, "°F")
    require_range("relative humidity", rh_pct, 0.0, 100.0, "%")
    return _saturation_kpa(_celsius(float(dry_bulb_f))) * rh_pct / 100.0


def _wick_vapour_kpa(dry_c: Number, wet_c: Number, pressure_kpa: float) -> Number:
    """Vapour pressure in the air round a wick [kPa]: e = es(tw) - A (1 + 0.00115 tw) p (t - tw)."""
    constant = PSYCHROMETER_PER_C * pressure_kpa
    return _saturation_kpa(wet_c) - constant * (1.0 + 0.00115 * wet_c) * (dry_c - wet_c)


def _wick_rh_pct(dry_c: Number, wet_c: Number, pressure_kpa: float) -> Number:
    return 100.0 * _wick_vapour_kpa(dry_c, wet_c, pressure_kpa) / _saturation_kpa(dry_c)


def _solve_wet_bulb_f(dry_bulb_f: float, rh_pct: float, pressure_kpa: float) -> float:
    """The wick's temperature by halving: its vapour pressure rises all the way with its temperature."""
    dry_c = _celsius(dry_bulb_f)
    low, high = -60.0, dry_c
    for _ in range(60):
        middle = 0.5 * (low + high)
        if _wick_rh_pct(dry_c, middle, pressure_kpa) < rh_pct:
            low = middle
        else:
            high = middle
    return high * 1.8 + 32.0


def _require_wet_below_dry(dry_f: float, wet_f: float) -> None:
    hint = "A wet bulb cannot read over the dry bulb: the two are swapped, or one reads wrong"
    require_range("wet bulb", wet_f, COLDEST_WICK_F, dry_f, "°F", hint)


def _require_possible(humidity_pct: float, dry_f: float, wet_f: float, elevation_ft: float) -> None:
    """Refuse a wet bulb lower than the driest air gives, and water above boiling."""
    pressure = _pressure_kpa(elevation_ft)
    _require_not_boiling(wet_f, pressure, "Water boils there at that elevation: check the bulbs")
    if humidity_pct < 0.0:
        lowest = max(_solve_wet_bulb_f(dry_f, 0.0, pressure), COLDEST_WICK_F)
        hint = "Drier than the driest air: check the wick and both bulbs"
        raise OutsideRange("wet bulb", wet_f, math.ceil(lowest * 10) / 10, dry_f, "°F", hint)


def _require_not_boiling(wet_f: float, pressure_kpa: float, hint: str) -> None:
    if _saturation_kpa(_celsius(wet_f)) > pressure_kpa:
        raise OutsideRange("wet bulb", wet_f, None, _boiling_f(pressure_kpa), "°F", hint)


def _boiling_f(pressure_kpa: float) -> float:
    low, high = 0.0, 150.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _saturation_kpa(middle) < pressure_kpa else (low, middle)
    return round(low * 1.8 + 32.0, 1)

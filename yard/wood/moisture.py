"""Moisture content: the equilibrium with the air (EMC), both ways, and the content worked out from weights.

MC is always in percent of the oven-dry weight. Pin readings are corrected in `meters.py`, offered here too.
"""

from collections.abc import Sequence
from typing import TypeVar, overload

import numpy as np

from yard.wood.columns import Floats, as_column, require_all_in_range
from yard.wood.meters import meter_corrected_pct
from yard.wood.ranges import OutsideRange, require_range

__all__ = [
    "EMC_COLDEST_F",
    "EMC_HOTTEST_F",
    "MC_HIGHEST_PCT",
    "equilibrium_mc_pct",
    "mc_pct",
    "meter_corrected_pct",
    "oven_dry_lb",
    "rh_pct_at_emc",
    "sample_mc_pct",
    "sample_oven_dry_lb",
]

EMC_COLDEST_F = -60.0
EMC_HOTTEST_F = 270.0
# °F; the hottest row of Wood Handbook Table 4-2. The table's coldest row is 30 °F; FPL-RN-0268 puts the same
# equation to outdoor monthly means down to about the next figure (from memory).
EMC_HELD_BELOW_F = -10.0
# °F; colder air takes the coefficients of this temperature: the polynomials bend away there, and wood so cold
# moves next to no water (our own choice, no source)

MC_HIGHEST_PCT = 400.0
# %; well above the most that the lightest wood of the species table can hold (280% by Wood Handbook Eq. 4-3)

Number = TypeVar("Number", float, Floats)

_BLOCK = 8192
# values worked on at a time: small enough to stay in the processor's cache


@overload
def equilibrium_mc_pct(temp_f: float, rh_pct: float) -> float: ...
@overload
def equilibrium_mc_pct(temp_f: Floats, rh_pct: float | Floats) -> Floats: ...
@overload
def equilibrium_mc_pct(temp_f: float, rh_pct: Floats) -> Floats: ...
def equilibrium_mc_pct(temp_f: float | Floats, rh_pct: float | Floats) -> float | Floats:
    """Return the moisture content that wood comes to rest at in steady air.

    Parameters: `temp_f` dry bulb [°F], -60 to 270, held at -10 below that; `rh_pct` relative humidity
    [%], 0 to 100; each one number or an array. Returns EMC [% of oven-dry weight].
    For a day, average temperature and humidity first and take the EMC of the means.
    Raises OutsideRange. Source: WH-GTR190 Eq. 4-5, WH-GTR282 Eq. 4-5 and Table 4-2 (30 to 270 °F,
    5 to 95%), FPL-RN-0268. Check: 12.0% at 70 °F and 65%.

    >>> round(equilibrium_mc_pct(70, 65), 1)
    12.0
    """
    temp, humidity = as_column(temp_f), as_column(rh_pct)
    _require_air(temp)
    require_all_in_range("relative humidity", humidity, 0.0, 100.0, "%")
    if isinstance(temp, float) and isinstance(humidity, float):
        return _emc(_held_c(temp), humidity)
    return _by_blocks(np.asarray(temp), np.asarray(humidity))


@overload
def rh_pct_at_emc(temp_f: float, emc_pct: float) -> float: ...
@overload
def rh_pct_at_emc(temp_f: Floats, emc_pct: float | Floats) -> Floats: ...
@overload
def rh_pct_at_emc(temp_f: float, emc_pct: Floats) -> Floats: ...
def rh_pct_at_emc(temp_f: float | Floats, emc_pct: float | Floats) -> float | Floats:
    """Return the relative humidity that holds wood at a wanted EMC: the inverse of `equilibrium_mc_pct`.

    Parameters: `temp_f` dry bulb [°F], -60 to 270; `emc_pct` [%], 0 to the EMC of saturated air at that
    temperature. Returns relative humidity [%]. Raises OutsideRange.
    Source: WH-GTR190 Eq. 4-5 solved for humidity. Check: the table's 12.0% at 70 °F is 65%.

    >>> round(rh_pct_at_emc(70, 12.0), 0)
    65.0
    """
    temp, emc = as_column(temp_f), as_column(emc_pct)
    _require_air(temp)
    hint = "No air at that temperature holds wood there"
    if not isinstance(emc, np.ndarray):
        least = np.min(equilibrium_mc_pct(np.atleast_1d(temp), 100.0), initial=100.0)
        require_range("EMC", emc, 0.0, float(least), "%", hint)
    temps, emcs = np.broadcast_arrays(np.atleast_1d(temp), np.atleast_1d(emc))
    most = equilibrium_mc_pct(temps, 100.0)
    bad = ~((emcs >= 0.0) & (emcs <= most))
    if bad.any():
        raise OutsideRange("EMC", float(emcs[bad][0]), 0.0, float(most[bad][0]), "%", hint)
    humidity = _humidity(_held_c(temps), emcs)
    if isinstance(temp, float) and isinstance(emc, float):
        return float(humidity[0])
    return humidity


def mc_pct(wet_lb: float, oven_dry_lb: float) -> float:
    """Return the moisture content from the weight now and the oven-dry weight.

    Parameters: `wet_lb` and `oven_dry_lb` [lb, or any one unit of weight], above 0, wet at least as
    heavy as dry. Returns MC [%]. Raises OutsideRange.
    Source: WH-GTR190 Eq. 4-1. Check: 20 lb of wood with 10 lb of water is 50% (an extension text on
    lumber drying).

    >>> mc_pct(30, 20)
    50.0
    """
    _require_weight("oven-dry weight", oven_dry_lb)
    hint = "Weigh again: no wood is lighter than its own oven-dry weight, unless a piece has broken off"
    require_range("weight", wet_lb, oven_dry_lb, _HEAVIEST_LB, "lb", hint)
    content = 100.0 * (wet_lb - oven_dry_lb) / oven_dry_lb
    return require_range("moisture content", content, 0.0, MC_HIGHEST_PCT, "%", "Check both weights")


def oven_dry_lb(wet_lb: float, mc_pct: float) -> float:
    """Return the oven-dry weight of wood from its weight at a known moisture content.

    Parameters: `wet_lb` [lb, or any unit of weight], above 0; `mc_pct` [%], 0 to 400. Returns [same unit].
    Raises OutsideRange. Source: AH-188 ch. 6; Wengert, Drying Oak Lumber, step 3B.
    Check: 4.46 lb at 92.4% is 2.32 lb oven-dry (AH-188 worked example, from memory).

    >>> round(oven_dry_lb(4.46, 92.4), 2)
    2.32
    """
    _require_weight("weight", wet_lb)
    require_range("moisture content", mc_pct, 0.0, MC_HIGHEST_PCT, "%")
    return wet_lb / (1.0 + mc_pct / 100.0)


def sample_oven_dry_lb(board_lb: float, section_mcs_pct: Sequence[float]) -> float:
    """Return the calculated oven-dry weight of a sample board from the sections cut beside it.

    Parameters: `board_lb` weight of the sample when the sections were cut [lb, or any unit], above 0;
    `section_mcs_pct` MC of each oven-dried section [%], 0 to 400, at least one (the usual two are the
    two ends). Returns [same unit]. Raises OutsideRange.
    Source: AH-188 ch. 6; Wengert, Drying Oak Lumber, step 3B. Check: as `oven_dry_lb`.

    >>> round(sample_oven_dry_lb(4.46, [93.4, 91.4]), 2)
    2.32
    """
    sections = list(section_mcs_pct)
    if not sections:
        raise OutsideRange("number of oven-dried sections", 0, 1, None, "", "Cut and dry at least one")
    for content in sections:
        require_range("section moisture content", content, 0.0, MC_HIGHEST_PCT, "%")
    return oven_dry_lb(board_lb, sum(sections) / len(sections))


def sample_mc_pct(board_lb: float, first_lb: float, section_mcs_pct: Sequence[float]) -> float:
    """Return a sample board's moisture content now from today's weight and how it began.

    Parameters: `board_lb` weight now and `first_lb` weight when the sections were cut [one unit], above
    0; `section_mcs_pct` as in `sample_oven_dry_lb`. Returns MC [%]. Raises OutsideRange.
    Source: AH-188 ch. 6; Wengert, Drying Oak Lumber, step 3B.
    Check: the board of 4.46 lb at 92.4% that now weighs 4.14 lb is at 78% (AH-188, from memory; the
    book rounds the oven-dry weight to 2.32 lb first and prints 78.4%).

    >>> round(sample_mc_pct(4.14, 4.46, [92.4]), 1)
    78.6
    """
    return mc_pct(board_lb, sample_oven_dry_lb(first_lb, section_mcs_pct))


_HEAVIEST_LB = 1e6
# lb; a whole charge and more, far above any scale of a yard


def _require_weight(what: str, weight_lb: float) -> None:
    require_range(what, weight_lb, 1e-6, _HEAVIEST_LB, "lb", "A weight must be more than nothing")


def _require_air(temp_f: float | Floats) -> None:
    require_all_in_range("temperature", temp_f, EMC_COLDEST_F, EMC_HOTTEST_F, "°F")


def _held_c(temp_f: Number) -> Number:
    """Degrees Celsius, no colder than where the coefficients are held."""
    if isinstance(temp_f, np.ndarray):
        return (np.maximum(temp_f, EMC_HELD_BELOW_F) - 32.0) / 1.8
    return (max(temp_f, EMC_HELD_BELOW_F) - 32.0) / 1.8


def _coefficients(temp_c: Number) -> tuple[Number, Number, Number, Number]:
    """W, K, K1 and K1 K2 of the two-hydrate equation at a temperature [°C] (WH-GTR190 Eq. 4-5)."""
    weight = 349.0 + temp_c * (1.29 + temp_c * 0.0135)
    activity = 0.805 + temp_c * (0.000736 - temp_c * 2.73e-6)
    first = 6.27 - temp_c * (0.00938 + temp_c * 0.000303)
    second = 1.91 + temp_c * (0.0407 - temp_c * 0.000293)
    return weight, activity, first, first * second


def _emc(temp_c: Number, rh_pct: Number) -> Number:
    """The equation itself, its two fractions brought over one bar: one division instead of three."""
    weight, activity, first, both = _coefficients(temp_c)
    x = activity * rh_pct * 0.01
    over = x * (1.0 + first + both * x * (2.0 - x))
    under = weight * (1.0 - x) * (1.0 + x * (first + both * x))
    return 1800.0 * over / under


def _by_blocks(temp_f: Floats, rh_pct: Floats) -> Floats:
    """EMC of arrays of any matching shapes, a block at a time."""
    temps, humidities = np.broadcast_arrays(temp_f, rh_pct)
    result = np.empty(temps.shape, dtype=np.float64)
    flat, temps, humidities = result.reshape(-1), temps.reshape(-1), humidities.reshape(-1)
    for start in range(0, flat.size, _BLOCK):
        block = slice(start, start + _BLOCK)
        flat[block] = _emc(_held_c(temps[block]), humidities[block])
    return result


def _humidity(temp_c: Floats, emc_pct: Floats) -> Floats:
    """Relative humidity [%] by Newton's steps on the equation as a cubic, kept between known bounds."""
    weight, activity, first, both = _coefficients(temp_c)
    share = emc_pct * weight / 1800.0
    slope = share * (first - 1.0) - (1.0 + first)
    bend = share * (both - first) - 2.0 * both
    twist = both * (1.0 - share)
    low, high = np.zeros_like(share), activity.copy()
    x = 0.5 * activity
    for _ in range(80):
        value = share + x * (slope + x * (bend + x * twist))
        low, high = np.where(value > 0.0, x, low), np.where(value > 0.0, high, x)
        steep = slope + x * (2.0 * bend + 3.0 * x * twist)
        step = x - value / np.where(steep == 0.0, 1.0, steep)
        better = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
        moved, x = np.abs(better - x).max(initial=0.0), better
        if moved < 1e-14:
            break
    return np.clip(100.0 * x / activity, 0.0, 100.0)

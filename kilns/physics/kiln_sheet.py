"""What a kiln can promise, in numbers: dry at one temperature, sanitise at another, down to which outdoor air."""

from dataclasses import dataclass, replace

from kilns.physics.dehumidifier import capacity_lb_per_day
from kilns.physics.heat_balance import COLDEST_F, NO_WATER, HeldTemperature, Water, lowest_outdoor
from kilns.physics.kiln_box import KilnBox, OverLimit, over_limits
from kilns.physics.load_heat import Load
from yard.wood.humid_air import humidity_ratio
from yard.wood.ranges import OutsideRange, require_range

MILD_F = 70.0
# °F: outdoor air at which layers are checked for heat: they are hottest when it is mild (our own figure)
OUTDOOR_RH_PCT = 80.0
# %: of the air that vents let in, a usual winter day (our own figure; it hardly matters in the cold)
AIR_LB_PER_FT3 = 0.075
# lb/ft³, standard air of fan makers (common practice)


@dataclass(frozen=True, slots=True)
class Promise:
    """One thing that a kiln shall do: the temperature, the lowest outdoor air at which it holds, what gets too hot."""

    name: str
    inside_f: float
    lowest_outdoor: HeldTemperature
    water: Water
    too_hot: tuple[OverLimit, ...]

    @property
    def words(self) -> str:
        """The promise as a sentence."""
        held = self.lowest_outdoor
        if held.temp_f <= COLDEST_F:
            return f"{self.name} at {self.inside_f:.0f} °F holds at any outdoor temperature down to {COLDEST_F:.0f} °F"
        return (
            f"{self.name} at {self.inside_f:.0f} °F holds down to {round(held.temp_f)} °F outdoors "
            f"({round(held.low_f)} to {round(held.high_f)} °F)"
        )


def promises(
    box: KilnBox,
    load: Load,
    loss_pct_per_day: float,
    *,
    drying_f: float = 120.0,
    drying_rh_pct: float = 40.0,
    sanitising_f: float = 140.0,
) -> tuple[Promise, Promise]:
    """Return whether a kiln can dry and sanitise a load, down to which outdoor temperature.

    Parameters: `load` in it; `loss_pct_per_day` that the drying model or the schedule gives [% MC a day], 0 to 30;
    `drying_f` and `drying_rh_pct` of the drying step; `sanitising_f` of the air, which must stand some degrees over
    the 133 °F wanted in the core. While drying the dehumidifier catches what it can and vented air the rest;
    sanitising is with dry wood, vents shut, and the dehumidifier off. Raises OutsideRange, also where the water
    alone takes more heat than there is.
    Source: `heat_balance`, `dehumidifier`. Plan to hold air at 140 to 160 °F (ISPM-15 and WH-GTR190, read).

    >>> from kilns.physics.example_kiln import small_kiln
    >>> dry, hot = promises(small_kiln(), Load("oak-northern-red", 600, 1.0, 30), 2.0)
    >>> dry.lowest_outdoor.temp_f < 20, hot.lowest_outdoor.temp_f < 20, [one.what for one in hot.too_hot]
    (True, True, ['dehumidifier'])
    """
    require_range("loss a day", loss_pct_per_day, 0.0, 30.0, "% MC")
    lost = load.dry_lb * loss_pct_per_day / 100.0
    unit = box.dehumidifier
    most = capacity_lb_per_day(unit, drying_f, drying_rh_pct) if unit is not None else 0.0
    water = Water(lost / 24.0, min(lost, most) / 24.0)
    drying = _lowest_with_vents(box, drying_f, drying_rh_pct, water)
    hot = lowest_outdoor(replace(box, vent_cfm=0.0), sanitising_f, NO_WATER)
    return (
        Promise("Drying", drying_f, drying, water, over_limits(box, drying_f, MILD_F)),
        Promise("Sanitising", sanitising_f, hot, NO_WATER, over_limits(box, sanitising_f, MILD_F)),
    )


def vent_cfm(water_lb_per_h: float, inside_f: float, inside_rh_pct: float, outdoor_f: float) -> float:
    """Return the outdoor air that carries water out of a kiln [ft³/min of standard air].

    Parameters: `water_lb_per_h` [lb/h], 0 to 1,000; `inside_f`, `inside_rh_pct` the kiln's air; `outdoor_f` [°F], of
    80% humidity. Raises OutsideRange where the outdoor air is as moist as the kiln's.
    Source: psychrometrics, water over the difference of the humidity ratios.

    Check: 2 lb/h from 120 °F and 40% (0.030 lb/lb) to 20 °F (0.002) is 71 lb of air an hour, 16 ft³/min.

    >>> round(vent_cfm(2.0, 120.0, 40.0, 20.0))
    16
    """
    require_range("water", water_lb_per_h, 0.0, 1000.0, "lb/h")
    apart = humidity_ratio(inside_f, inside_rh_pct) - humidity_ratio(outdoor_f, OUTDOOR_RH_PCT)
    if apart <= 1e-4:
        hint = "The outdoor air is as moist as the kiln's: vents take no water out"
        raise OutsideRange("water that vented air takes", apart, 1e-4, None, "lb/lb", hint)
    return water_lb_per_h / apart / AIR_LB_PER_FT3 / 60.0


def _lowest_with_vents(box: KilnBox, inside_f: float, rh_pct: float, water: Water) -> HeldTemperature:
    """The lowest outdoor air while vents carry what is not caught: the vents' air depends on it, so go round."""
    out_by_vents = water.evaporated_lb_per_h - water.condensed_lb_per_h
    found = lowest_outdoor(replace(box, vent_cfm=0.0), inside_f, water)
    for _ in range(20 if out_by_vents > 0.0 else 0):
        needed = vent_cfm(out_by_vents, inside_f, rh_pct, found.temp_f)
        again = lowest_outdoor(replace(box, vent_cfm=needed), inside_f, water)
        if abs(again.temp_f - found.temp_f) < 0.01:
            return again
        found = again
    return found

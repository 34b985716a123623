"""A dehumidifier against the water of the day, and what the caught water proves."""

from dataclasses import dataclass

from kilns.physics.load_heat import BTU_PER_KWH, Load, evaporation_btu_per_lb
from yard.wood.humid_air import absolute_humidity_lb_per_ft3, dew_point_f
from yard.wood.ranges import require_range

LB_PER_PINT = 1.043
# lb of water a US pint (unit identity: 0.4732 kg)
LITRES_PER_PINT = 0.4732
# exact enough from the US gallon
RATED_TEMP_F, RATED_RH_PCT = 65.0, 60.0
# °F and %: the test air of portable units since 2019 (CFR-430.32, from memory, high)
HUMIDITY_POWER = 0.7
# of the water in the air: fits the old ratings at 80 °F to the new at 65 °F, 70 to 50, 50 to 35 and 30 to 22 pints,
# within 4% (DEHUMIDIFIER-RATINGS, from memory, medium)
COLDEST_DEW_F = 41.0
# °F: drier air than this dew point frosts the coil (our own limit, no source)
ROOM_UNIT_LIMIT_F = 95.0
# °F: room units are usually rated to 90 or 95 °F (makers' manuals in general, memory medium): obey the nameplate


@dataclass(frozen=True, slots=True)
class Dehumidifier:
    """A unit by its nameplate: pints a day at its rated air, litres a kWh, and the hottest air that it may stand in."""

    pints_per_day: float
    litres_per_kwh: float
    hottest_f: float = ROOM_UNIT_LIMIT_F
    rated_temp_f: float = RATED_TEMP_F
    rated_rh_pct: float = RATED_RH_PCT

    @property
    def power_w(self) -> float:
        """What it draws when it runs [W]: litres a day over litres a kWh.

        >>> round(Dehumidifier(50, 1.6).power_w)
        616
        """
        return self.pints_per_day * LITRES_PER_PINT / self.litres_per_kwh / 24.0 * 1000.0


def capacity_lb_per_day(unit: Dehumidifier, temp_f: float, rh_pct: float) -> float:
    """Return the water that a unit takes out of air in a day.

    Parameters: `temp_f` [°F], 33 to 200; `rh_pct` [%], 0.5 to 100. Nothing above the unit's hottest air, nor where
    its coil would frost. Returns [lb a day]. Raises OutsideRange.
    Source: nameplate at its rated air; elsewhere by the water in the air to the power 0.7, fitted to ratings of the
    same units at two airs (DEHUMIDIFIER-RATINGS, from memory, medium). Rough: the maker's own curve beats it.
    Check: 50 pints at 65 °F and 60% is 70 at 80 °F and 60%, within 4%.

    >>> abs(capacity_lb_per_day(Dehumidifier(50, 1.6), 80, 60) / 1.043 / 70 - 1) < 0.04
    True
    >>> capacity_lb_per_day(Dehumidifier(50, 1.6, hottest_f=95), 120, 60)
    0.0
    """
    require_range("pints a day", unit.pints_per_day, 0.1, 5000.0, "pints")
    require_range("temperature", temp_f, 33.0, 200.0, "°F")
    if temp_f > unit.hottest_f or dew_point_f(temp_f, rh_pct) < COLDEST_DEW_F:
        return 0.0
    rated = absolute_humidity_lb_per_ft3(unit.rated_temp_f, unit.rated_rh_pct)
    here = absolute_humidity_lb_per_ft3(temp_f, rh_pct)
    return unit.pints_per_day * LB_PER_PINT * float((here / rated) ** HUMIDITY_POWER)


def heat_btuh(unit: Dehumidifier, water_lb_per_h: float, temp_f: float) -> float:
    """Return the heat that a unit gives to the chamber: that of the water it condenses, and all its current.

    Parameters: `water_lb_per_h` condensed [lb/h], 0 up; `temp_f` [°F], 32 to 212. Returns [Btu/h]. Raises
    OutsideRange. Source: energy balance, latent heat + 1/(L/kWh). Check: a pound an hour at 1.6 L/kWh, 100 °F:
    1,037 + 0.4536/1.6 kWh, 967 Btu.

    >>> round(heat_btuh(Dehumidifier(50, 1.6), 1.0, 100.0))
    2004
    """
    require_range("water condensed", water_lb_per_h, 0.0, 1000.0, "lb/h")
    current_kwh = water_lb_per_h * 0.45359237 / require_range("L/kWh", unit.litres_per_kwh, 0.1, 20.0)
    return water_lb_per_h * evaporation_btu_per_lb(temp_f) + current_kwh * BTU_PER_KWH


@dataclass(frozen=True, slots=True)
class WaterCheck:
    """The day's water against what the unit can take [lb a day]."""

    water_lb_per_day: float
    capacity_lb_per_day: float

    @property
    def share(self) -> float:
        """The day's water as a share of the capacity; above 1 the air grows moister than the step asks."""
        return self.water_lb_per_day / self.capacity_lb_per_day if self.capacity_lb_per_day else float("inf")

    @property
    def enough(self) -> bool:
        """Whether the unit keeps up."""
        return self.water_lb_per_day <= self.capacity_lb_per_day


def water_check(load: Load, loss_pct_per_day: float, unit: Dehumidifier, temp_f: float, rh_pct: float) -> WaterCheck:
    """Return the day's water of a load against the unit's capacity in the kiln's air.

    Parameters: `loss_pct_per_day` predicted by the drying model [% MC a day], 0 to 100; others as
    `capacity_lb_per_day`. Raises OutsideRange. Source: WH-GTR282 Eq. 4-14 for the water.
    Check: 500 bf of red oak (1,456 lb dry) at 2% a day give 29 lb.

    >>> round(water_check(Load("oak-northern-red", 500, 1, 50), 2.0, Dehumidifier(50, 1.6), 90, 70).water_lb_per_day)
    29
    """
    require_range("loss a day", loss_pct_per_day, 0.0, 100.0, "%")
    return WaterCheck(load.dry_lb * loss_pct_per_day / 100.0, capacity_lb_per_day(unit, temp_f, rh_pct))


def mc_at_most_pct(load: Load, condensate_lb: float) -> float:
    """Return the most that a load's mean moisture content can be now, from the condensate caught since `load`.

    Parameters: `condensate_lb` [lb], 0 up to the load's water. Returns [%]. Raises OutsideRange.
    Caught water is a lower bound of what was lost: the rest left by vents and leaks. Source: WH-GTR282 Eq. 4-14.

    >>> round(mc_at_most_pct(Load("oak-northern-red", 500, 1, 50), 145.6), 1)
    40.0
    """
    most = load.dry_lb * load.mc_pct / 100.0
    require_range("condensate", condensate_lb, 0.0, most, "lb", "More than all the water that the load held")
    return load.mc_pct - 100.0 * condensate_lb / load.dry_lb

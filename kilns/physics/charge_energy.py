"""What a whole charge takes in heat and current, and what that costs."""

from dataclasses import dataclass
from decimal import Decimal

from kilns.physics.kiln_box import BTUH_PER_W, KilnBox
from kilns.physics.load_heat import (
    BTU_PER_KWH,
    Load,
    evaporation_btu,
    evaporation_btu_per_lb,
    warming_btu,
    water_lb,
)
from kilns.physics.walls import Which
from yard.wood.humid_air import humidity_ratio
from yard.wood.ranges import OutsideRange, require_range

AIR_BTU_LB_F, VAPOUR_BTU_LB_F = 0.240, 0.444
# Btu/(lb °F) of dry air and of water vapour (ASHRAE-HOF, memory high)
USUAL_TIMES_LOW, USUAL_TIMES_HIGH = 1.5, 4.0
# times the heat of evaporation that kilns take in all, by equipment (AH-188 ch. 11, read): a check, not used


@dataclass(frozen=True, slots=True)
class ChargePlan:
    """How a charge runs on average: days, kiln air, outdoor air, the moisture content to reach, how it starts."""

    days: float
    kiln_f: float
    kiln_rh_pct: float
    outdoor_f: float
    outdoor_rh_pct: float
    to_mc_pct: float
    start_f: float


@dataclass(frozen=True, slots=True)
class HeatBill:
    """The heat and current of a charge [kWh], each above 0; `bought_kwh` is what the meter shows."""

    walls: float
    leaks: float
    vents: float
    warming: float
    evaporation: float
    from_fans: float
    from_dehumidifier: float
    from_condensing: float
    from_sun: float
    heaters: float
    fans: float
    dehumidifier: float

    @property
    def bought_kwh(self) -> float:
        """Heaters, fans and dehumidifier together."""
        return self.heaters + self.fans + self.dehumidifier

    @property
    def needed_kwh(self) -> float:
        """All heat that the charge takes, wherever it comes from."""
        return self.walls + self.leaks + self.vents + self.warming + self.evaporation

    @property
    def times_evaporation(self) -> float:
        """The heat needed over that of evaporation alone; 1.5 to 4 is usual (AH-188 ch. 11, read)."""
        return self.needed_kwh / self.evaporation if self.evaporation else float("inf")


@dataclass(frozen=True, slots=True)
class ChargeEnergy:
    """The bill in the middle, with the least and the most current that the spread of R, leakage and days makes."""

    bill: HeatBill
    low_kwh: float
    high_kwh: float
    reasons: tuple[str, ...]

    def cost(self, price_per_kwh: Decimal) -> tuple[Decimal, Decimal, Decimal]:
        """Return low, middle and high cost at a price a kWh, to the hundredth.

        >>> ChargeEnergy(HeatBill(*[0.0] * 9, 80.0, 20.0, 0.0), 90.0, 120.0, ()).cost(Decimal("0.15"))
        (Decimal('13.50'), Decimal('15.00'), Decimal('18.00'))
        """
        three = (self.low_kwh, self.bill.bought_kwh, self.high_kwh)
        low, middle, high = ((Decimal(str(one)) * price_per_kwh).quantize(Decimal("0.01")) for one in three)
        return low, middle, high


def charge_energy(
    box: KilnBox, load: Load, plan: ChargePlan, *, days_low: float | None = None, days_high: float | None = None,
    condensed_share: float = 0.0, sun_kwh: float = 0.0,
) -> ChargeEnergy:  # fmt: skip
    """Return the heat and current of a charge.

    Parameters: `plan` days [day], temperatures [°F], humidities [%], moisture content to reach [%]; `days_low` and
    `days_high` of the estimate; `condensed_share` of the water that the dehumidifier catches, 0 to 1, the rest goes
    out with vented air; `sun_kwh` of the whole charge through the glazing. Raises OutsideRange.
    Source: ASHRAE-HOF for walls and air; psychrometrics for the vented air; `load_heat` for the wood.
    Check: in a box without loss, 1,000 bf of red oak from 30 to 7% take 212 kWh for the water (113 °F).

    >>> from kilns.physics.walls import Layer, Surface
    >>> box = KilnBox((Surface("wall", 1e-6, (Layer("wall", 10, 10),)),), 100, 0.0, heater_w=3000)
    >>> plan = ChargePlan(10, 113, 50, 113, 20, 7, 113)
    >>> round(charge_energy(box, Load("oak-northern-red", 1000, 1, 30), plan).bill.bought_kwh)
    212
    """
    require_range("days", plan.days, 0.01, 3660.0, "days")
    require_range("share of the water caught", condensed_share, 0.0, 1.0)
    if condensed_share and box.dehumidifier is None:
        raise OutsideRange("share of the water caught", condensed_share, 0.0, 0.0, "", "There is no dehumidifier")
    middle = _bill(box, load, plan, plan.days, condensed_share, sun_kwh, "middle")
    least = _bill(box, load, plan, days_low or plan.days, condensed_share, sun_kwh, "high")
    most = _bill(box, load, plan, days_high or plan.days, condensed_share, sun_kwh, "low")
    reasons = ("spread of the R-values, half to double the leakage, and the spread of the days",)
    return ChargeEnergy(middle, least.bought_kwh, most.bought_kwh, reasons)


def _bill(
    box: KilnBox, load: Load, plan: ChargePlan, days: float, condensed_share: float, sun_kwh: float, of: Which
) -> HeatBill:
    apart, hours = plan.kiln_f - plan.outdoor_f, days * 24.0
    water = water_lb(load, plan.to_mc_pct)
    walls = max(0.0, box.wall_btuh_f(of) * apart * hours)
    leaks = max(0.0, (box.loss_btuh_f(of) - box.wall_btuh_f(of)) * apart * hours)
    vents = _vent_btu(plan, water * (1.0 - condensed_share), box.elevation_ft)
    structure = max(0.0, box.air_capacity_btu_f * (plan.kiln_f - plan.start_f))
    warm = structure + (warming_btu(load, plan.start_f, plan.kiln_f) if plan.start_f < plan.kiln_f else 0.0)
    evaporation = evaporation_btu(load, plan.to_mc_pct, plan.kiln_f)
    fans = box.fan_w * BTUH_PER_W * hours
    caught_lb = water * condensed_share
    unit = box.dehumidifier
    current = caught_lb * 0.45359237 / unit.litres_per_kwh * BTU_PER_KWH if unit is not None else 0.0
    condensing = caught_lb * evaporation_btu_per_lb(plan.kiln_f)
    needed = walls + leaks + vents + warm + evaporation
    given = fans + current + condensing + sun_kwh * BTU_PER_KWH
    parts = (walls, leaks, vents, warm, evaporation, fans, current, condensing, sun_kwh * BTU_PER_KWH)
    bought = (max(0.0, needed - given), fans, current)
    return HeatBill(*(one / BTU_PER_KWH for one in (*parts, *bought)))


def _vent_btu(plan: ChargePlan, water_lb_out: float, elevation_ft: float) -> float:
    """Heat to bring the air that carries the water out from outdoor to kiln temperature [Btu]."""
    if water_lb_out <= 0.0:
        return 0.0
    inside = humidity_ratio(plan.kiln_f, plan.kiln_rh_pct, elevation_ft)
    outside = humidity_ratio(plan.outdoor_f, plan.outdoor_rh_pct, elevation_ft)
    hint = "The outdoor air is as moist as the kiln's: venting takes no water out"
    require_range("water that vented air takes", inside - outside, 1e-5, None, "lb/lb", hint)
    dry_air_lb = water_lb_out / (inside - outside)
    return max(0.0, dry_air_lb * (AIR_BTU_LB_F + VAPOUR_BTU_LB_F * outside) * (plan.kiln_f - plan.outdoor_f))

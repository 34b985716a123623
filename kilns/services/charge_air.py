"""The air that a kiln makes of a schedule's step in a season: held by heaters, or given by the sun."""

from dataclasses import dataclass
from datetime import date

from kilns.models import DeviceKind, Kiln
from kilns.physics.charge_days import ChargeCourse
from kilns.physics.dehumidifier import Dehumidifier, capacity_lb_per_day
from kilns.physics.heat_balance import temperature_held
from kilns.physics.kiln_air import DayAir, steady_day, sunny_days
from kilns.physics.kiln_box import BTUH_PER_W, KilnBox
from kilns.physics.solar import collector_gain, monthly_radiation
from kilns.physics.solar_places import flat_sun
from kilns.services.kiln_boxes import glazing_of
from kilns.services.kiln_build import Build
from kilns.services.sheet_sun import SOUTH_DEG
from yard.models import Yard
from yard.services.weather import NoPlaceError, yard_climate
from yard.wood.climate import daily_climate
from yard.wood.moisture import rh_pct_at_emc
from yard.wood.ranges import OutsideRange

SEASON_DAYS = 30
# days of usual weather from the start on that a charge is worked out in (our choice)
DAY_SWING_F = 20.0
# °F between the low and the high of an outdoor day (common practice, no source)
SUN_HOURS = 8.0
# h in which a day's sun comes in (common practice, no source)
LEAST_RISE_F, MOST_RISE_F = 3.0, 60.0


@dataclass(frozen=True)
class KilnAir:
    """A kiln's air for the model, with the outdoor air behind it; None where the yard has no place."""

    day_air: DayAir
    words: str
    outdoor_f: float | None
    outdoor_rh_pct: float | None
    sun_kwh_day: float
    unit: Dehumidifier | None
    vents: bool

    def capacity_lb_per_day(self, course: ChargeCourse) -> float:
        """What the dehumidifier takes in a day of the run's mean air; 0 without one, or where it is too hot for it."""
        if self.unit is None:
            return 0.0
        warm, emc = course.warm_f, float(course.emc_pct.mean())
        try:
            return capacity_lb_per_day(self.unit, warm, min(rh_pct_at_emc(warm, emc), 100.0))
        except OutsideRange:
            return 0.0


def kiln_air(kiln: Kiln, build: Build, box: KilnBox, yard: Yard, start_on: date) -> KilnAir:
    """The air of a kiln's days from a start on. Errors: OutsideRange for a sun kiln whose sun is not known."""
    try:
        usual = daily_climate(yard_climate(yard), start_on, SEASON_DAYS)
        outdoor_f, outdoor_rh = float(usual.temp_f.mean()), float(usual.rh_pct.mean())
    except NoPlaceError:
        outdoor_f = outdoor_rh = None
    sun_kwh = _sun_kwh_day(kiln, build, yard, start_on.month)
    vents = kiln.vent_cfm > 0.0

    def made(day_air: DayAir, words: str) -> KilnAir:
        return KilnAir(day_air, words, outdoor_f, outdoor_rh, sun_kwh, box.dehumidifier, vents)

    if build.of_kind(DeviceKind.HEATER) or build.of_kind(DeviceKind.DEHUMIDIFIER) or outdoor_f is None:
        return made(steady_day, f"held at the schedule's steps, as far as {kiln.hottest_f:.0f} °F")
    rise = _rise_f(box, outdoor_f, sun_kwh)
    if rise < LEAST_RISE_F:
        hint = "The sun alone hardly warms it at that time of the year"
        raise OutsideRange("rise over the outdoor air", rise, LEAST_RISE_F, None, "°F", hint)
    low, high = outdoor_f - DAY_SWING_F / 2, outdoor_f + DAY_SWING_F / 2
    words = f"as the sun gives it: {rise:.0f} °F over the outdoor air at noon, moist at night"
    return made(sunny_days(low, high, rise), words)


def _rise_f(box: KilnBox, outdoor_f: float, sun_kwh: float) -> float:
    held = temperature_held(box, outdoor_f, sun_btuh=sun_kwh * 1000.0 / SUN_HOURS * BTUH_PER_W)
    return min(held.temp_f - outdoor_f, MOST_RISE_F)


def _sun_kwh_day(kiln: Kiln, build: Build, yard: Yard, month: int) -> float:
    """The month's usual sun behind the glazing [kWh a day]; 0 without glazing or without the yard's place."""
    glazing = glazing_of(build)
    if glazing is None or kiln.glazing_tilt_deg is None or not yard.has_place:
        return 0.0
    try:
        return _month_kwh(kiln, glazing, yard, month)
    except OutsideRange:
        return 0.0


def _month_kwh(kiln: Kiln, glazing, yard: Yard, month: int) -> float:
    flat = flat_sun(yard.lat_deg, yard.lon_deg)
    azimuth = kiln.glazing_facing_deg - SOUTH_DEG
    year = monthly_radiation(
        yard.lat_deg, kiln.glazing_tilt_deg, flat.global_wh_m2, azimuth, diffuse=flat.diffuse_wh_m2
    )
    gains = collector_gain(year, glazing.area_ft2, glazing.light_share)
    return gains[month - 1].kwh_per_day

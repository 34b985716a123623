"""The sun part of a kiln sheet: gain by month on its tilt, the best tilt, the collector against the load."""

import calendar
from dataclasses import dataclass
from functools import lru_cache

from kilns.physics.solar import (
    CollectorLoad,
    best_tilt_deg,
    collector_gain,
    collector_load,
    monthly_radiation,
    usual_tilt_deg,
)
from kilns.physics.solar_places import FlatSun, flat_sun
from kilns.physics.working_air import working_collector_load, working_tilted
from kilns.services.kiln_boxes import Glazing, glazing_of
from kilns.services.sheet_asked import Question
from kilns.services.sheet_figure import Figure, figure

SOUTH_DEG = 180.0
WINTER = (11, 12, 1, 2, 3)


@dataclass(frozen=True)
class SunMonth:
    """A month's sun on the glazing [Btu/ft² a day], and behind it [kWh a day]."""

    name: str
    btu_ft2_day: float
    kwh_day: float


@dataclass(frozen=True)
class SunYear:
    """The year on the kiln's tilt, and the tilts that gather most."""

    glazing: Glazing
    flat: FlatSun
    tilt_deg: float
    months: tuple[SunMonth, ...]
    best_deg: int
    best_winter_deg: int
    usual_deg: float
    usual_winter_deg: float


def sun_year(question: Question) -> Figure:
    """The sun by month; a refusal in words without glazing, tilt or the yard's place."""
    yard, glazing, tilt = question.yard, glazing_of(question.build), question.tilt_deg
    if glazing is None:
        return Figure(refusal="No glazing is on the sheet.")
    if tilt is None:
        return Figure(refusal="Give the tilt of the glazing to see the sun on it.")
    if not yard.has_place:
        return Figure(refusal="Give the yard its place in the yard settings to see the sun.")

    def made() -> SunYear:
        flat = flat_sun(yard.lat_deg, yard.lon_deg)
        azimuth = question.kiln.glazing_facing_deg - SOUTH_DEG
        diffuse = flat.diffuse_wh_m2
        year = monthly_radiation(yard.lat_deg, tilt, flat.global_wh_m2, azimuth, diffuse=diffuse)
        gains = collector_gain(year, glazing.area_ft2, glazing.light_share)
        months = tuple(
            SunMonth(calendar.month_name[sun.month], sun.tilted_btu_ft2, gain.kwh_per_day)
            for sun, gain in zip(year, gains, strict=True)
        )
        best, winter = (
            _best_tilt(yard.lat_deg, flat.global_wh_m2, diffuse, some) for some in (question.asked.months, WINTER)
        )
        usual, usual_winter = usual_tilt_deg(yard.lat_deg), usual_tilt_deg(yard.lat_deg, winter=True)
        return SunYear(glazing, flat, tilt, months, best, winter, usual, usual_winter)

    found = figure(made)
    if found.value is None:
        return found
    flat = found.value.flat
    working = working_tilted(yard.lat_deg, tilt, 1, flat.global_wh_m2, flat.diffuse_wh_m2)
    return Figure(found.value, working)


@lru_cache(maxsize=64)
def _best_tilt(lat_deg: float, flat: tuple[float, ...], diffuse: tuple[float, ...], months: tuple[int, ...]) -> int:
    """The best tilt, remembered: it is most of the page's time, and a yard does not move."""
    return best_tilt_deg(lat_deg, flat, months, diffuse=diffuse)


def collector_figure(question: Question) -> Figure:
    """The footage against the glazing, 10 bf of 4/4 a square foot at most; nothing without glazing."""
    glazing = glazing_of(question.build)
    if glazing is None:
        return Figure(refusal="No glazing is on the sheet.")
    footage = question.load.board_feet_bf

    def made() -> CollectorLoad:
        return collector_load(footage, glazing.area_ft2)

    return figure(made, lambda: working_collector_load(footage, glazing.area_ft2))

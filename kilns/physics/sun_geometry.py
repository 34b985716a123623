"""Where the sun stands: declination, hours of daylight, and the angle at which it meets a tilted collector.

Angles are in radians inside, in degrees at the door. Azimuth of a collector: 0 due south, east negative.
"""

import math
from dataclasses import dataclass

from yard.wood.ranges import require_range

SOLAR_CONSTANT_W_M2 = 1367.0
# W/m² (DUFFIE-BECKMAN, from memory, high)
AVERAGE_DAYS = (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)
# day of the year that stands for each month (KLEIN-1977, from memory, high)
DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True, slots=True)
class SunDay:
    """The sun over one day at a latitude [rad], with the day's radiation above the air [Wh/m²]."""

    lat: float
    declination: float
    sunset: float
    above_air_wh_m2: float


def declination_deg(day_of_year: int) -> float:
    """Return the sun's declination [°]. Parameters: `day_of_year` 1 to 366. Raises OutsideRange.

    Source: SPENCER-1971. Check: 23.45° on 21 June.

    >>> round(declination_deg(172), 2)
    23.45
    """
    require_range("day of the year", day_of_year, 1, 366)
    turn = 2 * math.pi * (day_of_year - 1) / 365
    return math.degrees(
        0.006918
        - 0.399912 * math.cos(turn)
        + 0.070257 * math.sin(turn)
        - 0.006758 * math.cos(2 * turn)
        + 0.000907 * math.sin(2 * turn)
        - 0.002697 * math.cos(3 * turn)
        + 0.00148 * math.sin(3 * turn)
    )


def sun_day(lat_deg: float, day_of_year: int) -> SunDay:
    """Return the sun's day at a latitude.

    Parameters: `lat_deg` -66 to 66 (beyond the circles some days have no night or no sun); `day_of_year` 1 to 366.
    Raises OutsideRange. Source: DUFFIE-BECKMAN, extraterrestrial radiation on a horizontal surface.
    Check: 43° N on 15 April 9.39 kWh/m², 33.8 MJ/m² (Duffie and Beckman, example, from memory).

    >>> round(sun_day(43, 105).above_air_wh_m2 * 0.0036, 1)
    33.8
    """
    lat = math.radians(require_range("latitude", lat_deg, -66.0, 66.0, "°"))
    tilt = math.radians(declination_deg(day_of_year))
    sunset = math.acos(min(1.0, max(-1.0, -math.tan(lat) * math.tan(tilt))))
    far = 1.0 + 0.033 * math.cos(2 * math.pi * day_of_year / 365)
    part = math.cos(lat) * math.cos(tilt) * math.sin(sunset) + sunset * math.sin(lat) * math.sin(tilt)
    return SunDay(lat, tilt, sunset, 24.0 / math.pi * SOLAR_CONSTANT_W_M2 * far * part)


def cos_zenith(day: SunDay, hour_angle: float) -> float:
    """Return the cosine of the sun's distance from overhead; `hour_angle` [rad] from noon.

    >>> round(cos_zenith(sun_day(0, 81), 0.0), 3)
    1.0
    """
    return math.sin(day.lat) * math.sin(day.declination) + (
        math.cos(day.lat) * math.cos(day.declination) * math.cos(hour_angle)
    )


def cos_incidence(day: SunDay, hour_angle: float, tilt_deg: float, azimuth_deg: float = 0.0) -> float:
    """Return the cosine of the angle between the sun and a collector's normal; below 0 the sun is behind it.

    Parameters: `hour_angle` [rad]; `tilt_deg` from flat, 0 to 90; `azimuth_deg` 0 south, east negative.
    Source: DUFFIE-BECKMAN Eq. 1.6.2. Check: Madison (43°), 13 February 10:30, 45° tilt, 15° west of south: 35.0°
    (example 1.6.1, from memory high).

    >>> round(math.degrees(math.acos(cos_incidence(sun_day(43, 44), math.radians(-22.5), 45, 15))))
    35
    """
    d, lat, b, g = day.declination, day.lat, math.radians(tilt_deg), math.radians(azimuth_deg)
    return (
        math.sin(d) * math.sin(lat) * math.cos(b)
        - math.sin(d) * math.cos(lat) * math.sin(b) * math.cos(g)
        + math.cos(d) * math.cos(lat) * math.cos(b) * math.cos(hour_angle)
        + math.cos(d) * math.sin(lat) * math.sin(b) * math.cos(g) * math.cos(hour_angle)
        + math.cos(d) * math.sin(b) * math.sin(g) * math.sin(hour_angle)
    )

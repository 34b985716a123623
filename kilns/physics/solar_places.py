"""Monthly sun on the flat for a yard without a weather file: interpolated between measured places, and rough."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from kilns.physics.sun_geometry import AVERAGE_DAYS, sun_day
from kilns.physics.tables import table
from yard.wood.cities import distance_mi
from yard.wood.ranges import OutsideRange, require_range

NEIGHBOURS = 3
FARTHEST_MI = 600.0
# miles to the nearest place; beyond it nothing is said (our own limit)
AT_LEAST_MI = 10.0
# miles: a yard nearer than this to a place takes its figures almost alone (our own figure)
EAST_OF_DEG = -100.0
# the 100th meridian: west of it mountains and coast make neighbours unlike, as in `yard.wood.climate`
EAST_ERROR_PCT, WEST_ERROR_PCT = 8.0, 21.0
# %: leave-one-out error of a month, root mean square over places and months, east and west of it; measured by
# tests/kilns/physics/test_solar_places.py, which fails when they no longer hold


@dataclass(frozen=True, slots=True)
class SunPlace:
    """A place with measured or modelled typical-year radiation on the flat, daily means by month [Wh/m²]."""

    key: str
    name: str
    lat_deg: float
    lon_deg: float
    global_wh_m2: tuple[float, ...]
    diffuse_wh_m2: tuple[float, ...]
    source_key: str
    provenance: str

    def clearness(self, month: int) -> float:
        """The month's radiation as a share of that above the air."""
        return self.global_wh_m2[month - 1] / sun_day(self.lat_deg, AVERAGE_DAYS[month - 1]).above_air_wh_m2

    def diffuse_share(self, month: int) -> float:
        """How much of the month's radiation comes from the whole sky."""
        return self.diffuse_wh_m2[month - 1] / self.global_wh_m2[month - 1]


@dataclass(frozen=True, slots=True)
class FlatSun:
    """Twelve daily means on the flat [Wh/m²] as an estimate: which places, and the error found by leaving one out."""

    global_wh_m2: tuple[float, ...]
    diffuse_wh_m2: tuple[float, ...]
    places: tuple[str, ...]
    nearest_mi: float
    error_pct: float
    reasons: tuple[str, ...]


@cache
def sun_places() -> tuple[SunPlace, ...]:
    """The built-in places, by key. Source: data/solar_places.csv (TMY3-STAT and EPW-SUN, read).

    >>> len(sun_places())
    13
    """
    rows = table("solar_places.csv")
    found = []
    for key in dict.fromkeys(row["key"] for row in rows):
        mine = sorted((row for row in rows if row["key"] == key), key=lambda row: int(row["month"]))
        first = mine[0]
        whole, sky = (tuple(float(row[name]) for row in mine) for name in ("global_wh_m2_day", "diffuse_wh_m2_day"))
        at = (float(first["lat_deg"]), float(first["lon_deg"]))
        found.append(SunPlace(key, first["name"], *at, whole, sky, first["source_key"], first["provenance"]))
    return tuple(found)


def flat_sun(lat_deg: float, lon_deg: float, *, without: Sequence[str] = ()) -> FlatSun:
    """Return the monthly radiation on the flat at a point, from the clearness of the nearest places.

    Parameters: `lat_deg` -66 to 66; `lon_deg` -180 to 180, west negative; `without` keys to leave out (used to
    measure the error). Returns FlatSun. Raises OutsideRange where no place is within 600 miles.
    Source: clearness and diffuse share of the three nearest places by inverse squared distance (common practice);
    radiation above the air DUFFIE-BECKMAN. Clouds differ over short ways, most so near mountains and coasts: a weather
    file is better.

    >>> flat_sun(44.5, -89.6).places
    ('Rochester, MN', 'Chicago, IL', 'Duluth, MN')
    """
    require_range("longitude", lon_deg, -180.0, 180.0, "°")
    suns = [sun_day(lat_deg, day).above_air_wh_m2 for day in AVERAGE_DAYS]
    pairs = [(distance_mi(lat_deg, lon_deg, one.lat_deg, one.lon_deg), one) for one in sun_places()]
    near = sorted((pair for pair in pairs if pair[1].key not in without), key=lambda pair: pair[0])[:NEIGHBOURS]
    nearest = near[0][0]
    if nearest > FARTHEST_MI:
        hint = "Read in a weather file of your own place"
        raise OutsideRange("distance to the nearest place with sun", round(nearest), 0, FARTHEST_MI, "miles", hint)
    weights = [1.0 / max(miles, AT_LEAST_MI) ** 2 for miles, _ in near]
    parts = [(weight / math.fsum(weights), one) for weight, (_, one) in zip(weights, near, strict=True)]
    flat, sky = [], []
    for month, above in enumerate(suns, 1):
        flat.append(above * math.fsum(part * one.clearness(month) for part, one in parts))
        sky.append(flat[-1] * math.fsum(part * one.diffuse_share(month) for part, one in parts))
    error = EAST_ERROR_PCT if lon_deg > EAST_OF_DEG else WEST_ERROR_PCT
    reasons = (f"between {', '.join(one.name for _, one in near)}; a month is off by {error:g}% or so",)
    return FlatSun(tuple(flat), tuple(sky), tuple(one.name for _, one in near), nearest, error, reasons)

"""The built-in places: 49 United States cities with a month-by-month outdoor climate, nearest first.

Every figure of the table is from memory (see the provenance columns of `data/city_climate.csv`): check it
against the publication before leaning on it, and import a weather file of your own place when there is one.
"""

import csv
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import overload

from yard.wood.ranges import OutsideRange, require_range

DATA = Path(__file__).parent / "data"

FT_PER_M = 1 / 0.3048
# exact, international foot

EARTH_RADIUS_MI = 3958.8
# mean radius 6,371.0 km (IUGG); a sphere is within 0.5% of the true distance


@dataclass(frozen=True)
class MonthClimate:
    """One month's mean outdoor air: temperature, relative humidity, and the EMC of wood in it."""

    month: int
    temp_f: float
    rh_pct: float
    emc_pct: float


@dataclass(frozen=True)
class NearPlace:
    """A built-in place with its distance from the asked point and the share it has in the result."""

    key: str
    name: str
    distance_mi: float
    weight: float


@dataclass(frozen=True)
class MonthlyClimate(Sequence[MonthClimate]):
    """Twelve month rows, January first, with an honest word about how rough they are.

    `method` is "city", "interpolated" or "weather file"; `label` says in one sentence where the rows come
    from; `temp_error_f` and `emc_error_pct` are the measured leave-one-out errors (root mean square) of the
    interpolation for that part of the country, None where none was measured.
    """

    months: tuple[MonthClimate, ...]
    method: str
    label: str
    places: tuple[NearPlace, ...] = ()
    temp_error_f: float | None = None
    emc_error_pct: float | None = None

    def __post_init__(self) -> None:
        if tuple(row.month for row in self.months) != tuple(range(1, 13)):
            raise ValueError("a monthly climate has twelve rows, January to December")

    @overload
    def __getitem__(self, index: int) -> MonthClimate: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[MonthClimate, ...]: ...
    def __getitem__(self, index: int | slice) -> MonthClimate | tuple[MonthClimate, ...]:
        return self.months[index]

    def __len__(self) -> int:
        return len(self.months)

    def __iter__(self) -> Iterator[MonthClimate]:
        return iter(self.months)

    def month(self, number: int) -> MonthClimate:
        """Return the row of a month, 1 = January.

        >>> city("WI-Madison").climate.month(1).emc_pct
        14.5
        """
        require_range("month", number, 1, 12)
        return self.months[number - 1]


@dataclass(frozen=True)
class City:
    """A built-in place: where it is, and its twelve months."""

    key: str
    state: str
    name: str
    lat_deg: float
    lon_deg: float
    elevation_ft: float
    climate: MonthlyClimate

    @property
    def label(self) -> str:
        """The place as a person writes it: "Madison, WI"."""
        return f"{self.name}, {self.state}"


class UnknownPlace(OutsideRange, KeyError):  # noqa: N818 - as OutsideRange
    """The built-in table has no such place; `suggestions` holds the closest keys.

    >>> str(UnknownPlace("WI-Madisn", ("WI-Madison",)))
    "'WI-Madisn' is not a built-in place. Did you mean WI-Madison?"
    """

    def __init__(self, typed: object, suggestions: tuple[str, ...]) -> None:
        self.what, self.value, self.low, self.high, self.unit = "place", float("nan"), None, None, ""
        self.typed, self.suggestions = typed, suggestions
        names = ", ".join(suggestions)
        self.hint = f"Did you mean {names}?" if names else "Keys are a state and a name, such as 'WI-Madison'."
        self.words = f"{repr(typed)[:40]} is not a built-in place. {self.hint}"
        ValueError.__init__(self, self.words)

    def __str__(self) -> str:  # KeyError would put it in quotes
        return self.words


@cache
def _cities() -> dict[str, City]:
    months: dict[str, list[MonthClimate]] = {}
    with (DATA / "city_climate.csv").open(encoding="utf-8", newline="") as rows:
        for row in csv.DictReader(rows):
            months.setdefault(row["city"], []).append(
                MonthClimate(
                    int(row["month"]), float(row["temp_f"]), float(row["rh_pct"]), float(row["emc_pct"])
                )
            )
    found = {}
    with (DATA / "cities.csv").open(encoding="utf-8", newline="") as rows:
        for row in csv.DictReader(rows):
            key, label = row["key"], f"{row['name']}, {row['state']}"
            climate = MonthlyClimate(
                tuple(sorted(months[key], key=lambda one: one.month)),
                "city",
                f"Monthly averages of {label} from the built-in table (from memory).",
                (NearPlace(key, label, 0.0, 1.0),),
            )
            found[key] = City(
                key, row["state"], row["name"], float(row["lat_deg"]), float(row["lon_deg"]),
                float(row["elevation_m"]) * FT_PER_M, climate,
            )  # fmt: skip
    return found


def all_cities() -> tuple[City, ...]:
    """Return the built-in places, in the order of the table.

    Source: FPL-RN-0268, Table 1 (subset printed in WH-GTR190 as Table 13-1), from memory.

    >>> len(all_cities())
    49
    """
    return tuple(_cities().values())


def city(key: str) -> City:
    """Return the built-in place with this key: state, hyphen, name ("WI-Madison").

    Errors: UnknownPlace (an OutsideRange and a KeyError) with the closest keys when there is no such place.
    Source: EMC FPL-RN-0268 Table 1, temperature NOAA-CCD-1961-1990, both from memory; humidity computed by
    inverting WH-GTR190 eq. 4-5 at that temperature and EMC.

    >>> june = city("WI-Madison").climate.month(6)
    >>> june.temp_f, june.emc_pct
    (66.4, 12.8)
    """
    found = _cities().get(key) if isinstance(key, str) else None
    if found is None:
        raise UnknownPlace(key, tuple(get_close_matches(str(key), list(_cities()), n=3)))
    return found


def distance_mi(lat_a_deg: float, lon_a_deg: float, lat_b_deg: float, lon_b_deg: float) -> float:
    """Return the great-circle distance [miles] between two points given in degrees.

    Source: haversine formula on a sphere of radius 3,958.8 mi (common mathematics).

    >>> round(distance_mi(0.0, 0.0, 0.0, 180.0) / 3.14159265, 1)
    3958.8
    """
    lat_a, lat_b = math.radians(lat_a_deg), math.radians(lat_b_deg)
    half_lat, half_lon = (lat_b - lat_a) / 2, math.radians(lon_b_deg - lon_a_deg) / 2
    square = math.sin(half_lat) ** 2 + math.cos(lat_a) * math.cos(lat_b) * math.sin(half_lon) ** 2
    return 2 * EARTH_RADIUS_MI * math.asin(math.sqrt(min(1.0, square)))


def cities_by_distance(lat_deg: float, lon_deg: float) -> list[tuple[float, City]]:
    """Return every built-in place with its distance [miles] from a point, nearest first.

    Parameters: lat_deg -90 to 90, lon_deg -180 to 180 (west negative).
    Errors: OutsideRange for a latitude or longitude that is none.

    >>> [place.key for _, place in cities_by_distance(43.0, -89.4)[:2]]
    ['WI-Madison', 'IL-Chicago']
    """
    require_range("latitude", lat_deg, -90, 90, "°")
    require_range("longitude", lon_deg, -180, 180, "°")
    found = [(distance_mi(lat_deg, lon_deg, one.lat_deg, one.lon_deg), one) for one in all_cities()]
    return sorted(found, key=lambda pair: (pair[0], pair[1].key))


def nearest_city(lat_deg: float, lon_deg: float) -> City:
    """Return the built-in place nearest to a point, however far it is.

    Parameters: lat_deg -90 to 90, lon_deg -180 to 180 (west negative).
    Errors: OutsideRange for a latitude or longitude that is none.

    >>> nearest_city(44.5, -89.6).label
    'Madison, WI'
    """
    return cities_by_distance(lat_deg, lon_deg)[0][1]

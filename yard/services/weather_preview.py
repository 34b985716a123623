"""What a weather file would give, before it is kept: its days, what is missing, how far away it was measured."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count, Q
from django.utils import timezone

from yard.models import WeatherFile, Yard
from yard.wood.cities import MonthlyClimate, distance_mi
from yard.wood.weather.days import day_rows, monthly_from_days
from yard.wood.weather.detect import read_weather
from yard.wood.weather.joining import joined
from yard.wood.weather.weather_file import CannotReadWeather
from yard.wood.weather.weather_file import WeatherDay as ReadDay
from yard.wood.weather.weather_file import WeatherFile as ReadFile

# The program's own limits, no source: beyond these a station's air is hardly the yard's.
FAR_MI, HIGH_FT = 50.0, 500.0
ENDS = 4


@dataclass(frozen=True)
class Overlap:
    """A file that was kept before, and how many of the new one's days it has too."""

    name: str
    days: int


@dataclass(frozen=True)
class WeatherPreview:
    """A weather file read, with its local days. `days` holds those with a temperature, up to today."""

    name: str
    read: ReadFile
    days: tuple[ReadDay, ...]
    missing: int
    to_come: int
    overlaps: tuple[Overlap, ...]
    miles_away: float | None
    feet_higher: float | None
    usual_year: MonthlyClimate | None
    why_no_usual_year: str

    @property
    def typical(self) -> bool:
        return self.read.typical

    @property
    def first(self) -> date:
        return self.days[0].day

    @property
    def last(self) -> date:
        return self.days[-1].day

    @property
    def without_humidity(self) -> int:
        return sum(1 for day in self.days if day.rh_pct is None)

    @property
    def ends(self) -> tuple[ReadDay, ...]:
        """Its first and last days, to look at."""
        return self.days if len(self.days) <= 2 * ENDS else self.days[:ENDS] + self.days[-ENDS:]

    @property
    def height_apart(self) -> float | None:
        """How much higher or lower than the yard it was measured [ft]."""
        return None if self.feet_higher is None else abs(self.feet_higher)

    @property
    def may_keep(self) -> bool:
        """Whether its days can stand for the yard's weather."""
        return not self.typical and bool(self.days)

    @property
    def is_far(self) -> bool:
        return self.miles_away is not None and self.miles_away > FAR_MI

    @property
    def is_higher(self) -> bool:
        return self.feet_higher is not None and abs(self.feet_higher) > HIGH_FT


def weather_preview(*, files: Sequence[tuple[str, bytes]], yard: Yard) -> WeatherPreview:
    """Read the files of one station (name, content) as one. Errors: CannotReadWeather, naming the file."""
    read = [_read(name, content) for name, content in files]
    whole = joined(read) if len(read) > 1 else read[0]
    every = day_rows(whole, utc_offset_h=standard_offset_h(yard))
    today = timezone.localdate()
    been = [day for day in every if whole.typical or day.day <= today]
    days = tuple(day for day in been if day.temp_f is not None)
    to_come = sum(1 for day in every[len(been) :] if day.temp_f is not None)
    if not days:
        raise CannotReadWeather(_nothing(every, to_come))
    name = files[0][0] if len(files) == 1 else f"{files[0][0]} and {len(files) - 1} more"
    usual, why_not = _usual_year(days, whole, name)
    return WeatherPreview(
        name=name, read=whole, days=days, missing=len(been) - len(days), to_come=to_come,
        overlaps=() if whole.typical else tuple(_overlaps(days)), usual_year=usual, why_no_usual_year=why_not,
        miles_away=_miles(whole, yard), feet_higher=_feet_higher(whole, yard),
    )  # fmt: skip


def standard_offset_h(yard: Yard) -> float:
    """The yard's standard time from UTC [h]: the smaller of its offsets in January and July."""
    zone = ZoneInfo(yard.time_zone)
    offsets = [datetime(2025, month, 1, 12, tzinfo=zone).utcoffset() or timedelta() for month in (1, 7)]
    return min(offsets) / timedelta(hours=1)


def _read(name: str, content: bytes) -> ReadFile:
    try:
        return read_weather(content)
    except CannotReadWeather as error:
        raise CannotReadWeather(f"{name}: {error}") from None


def _nothing(every: Sequence[ReadDay], to_come: int) -> str:
    if to_come:
        return "All its days lie in the future: is the clock or the year of the file right?"
    return f"None of its {len(every)} days has enough readings of temperature to make a day's mean."


def _overlaps(days: Sequence[ReadDay]) -> list[Overlap]:
    span = Q(days__day__range=(days[0].day, days[-1].day))
    rows = WeatherFile.objects.annotate(shared=Count("days", filter=span)).filter(shared__gt=0).order_by("-id")
    return [Overlap(row.name, row.shared) for row in rows]


def _usual_year(days: tuple[ReadDay, ...], whole: ReadFile, name: str) -> tuple[MonthlyClimate | None, str]:
    where = whole.place.name or whole.place.station or name
    years = "a typical year" if whole.typical else f"{days[0].day.year} to {days[-1].day.year}"
    try:
        return monthly_from_days(days, f"{where}, {whole.format}, {years}"), ""
    except CannotReadWeather as error:
        return None, str(error)


def _miles(whole: ReadFile, yard: Yard) -> float | None:
    place = whole.place
    if place.lat_deg is None or place.lon_deg is None or not yard.has_place:
        return None
    return distance_mi(yard.lat_deg, yard.lon_deg, place.lat_deg, place.lon_deg)


def _feet_higher(whole: ReadFile, yard: Yard) -> float | None:
    if whole.place.elevation_ft is None or not yard.has_place:
        return None
    return whole.place.elevation_ft - yard.elevation_ft

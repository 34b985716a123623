"""The yard's weather day by day for its page: temperature, humidity, EMC, and where each came from."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from yard.models import Cohort, Yard
from yard.services.weather import IN_WORDS, USUAL, DailyAir, yard_air, yard_climate
from yard.wood.climate import daily_climate
from yard.wood.moisture import EMC_COLDEST_F, equilibrium_mc_pct

YEAR_DAYS, TABLE_DAYS, WEEK_DAYS, OLDEST_DAYS = 365, 21, 7, 20 * 365
SHORT_WORDS = {"sensor": "sensor", "file": "file", "climate": "usual", "own climate": "usual", "setting": "set"}


@dataclass(frozen=True, slots=True)
class WeatherLine:
    """One day as it is shown."""

    day: date
    temp_f: float
    rh_pct: float
    emc_pct: float
    temp_from: str
    rh_from: str

    @property
    def is_usual(self) -> bool:
        """Whether nothing was measured on that day."""
        return self.temp_from in USUAL

    @property
    def from_words(self) -> str:
        temp, humidity = SHORT_WORDS[self.temp_from], SHORT_WORDS[self.rh_from]
        return temp if temp == humidity else f"{temp}, humidity {humidity}"

    @property
    def is_frozen(self) -> bool:
        return self.temp_f < 32


@dataclass(frozen=True)
class WeatherShown:
    """What the weather page shows: the last year for the chart, some weeks as a table, the last week in figures."""

    year: DailyAir
    lines: list[WeatherLine]
    first_line: date
    week_temp_f: float
    week_emc_pct: float
    sources: list[str]
    since: date

    def chart(self, yard: Yard, metric: bool) -> dict[str, Any]:
        """EMC and temperature of the last year beside the usual year's."""
        usual = daily_climate(yard_climate(yard), self.year.first, len(self.year))
        usual_emc = equilibrium_mc_pct(usual.temp_f.clip(EMC_COLDEST_F), usual.rh_pct)
        temps = (self.year.temp_f - 32) / 1.8 if metric else self.year.temp_f
        return {
            "days": [day.isoformat() for day in self.year.days],
            "emc": [round(value, 1) for value in self.year.emc_pct().tolist()],
            "usual": [round(value, 1) for value in usual_emc.tolist()],
            "temp": [round(value, 1) for value in temps.tolist()],
            "from": [SHORT_WORDS[source] for source in self.year.temp_from],
            "unit": "°C" if metric else "°F",
        }


def weather_shown(*, yard: Yard, today: date, until: date | None = None) -> WeatherShown:
    """The weather up to yesterday; the table ends at `until`. Errors: NoPlaceError, OutsideRange."""
    yesterday = today - timedelta(days=1)
    last_line = max(min(until or yesterday, yesterday), yesterday - timedelta(days=OLDEST_DAYS))
    first_line = last_line - timedelta(days=TABLE_DAYS - 1)
    year_first = yesterday - timedelta(days=YEAR_DAYS - 1)
    since = min(max(_oldest_wood() or year_first, yesterday - timedelta(days=OLDEST_DAYS)), yesterday)
    whole = yard_air(first=min(since, first_line, year_first), last=yesterday, yard=yard)
    year = whole.part(year_first, yesterday)
    return WeatherShown(
        year=year,
        lines=_lines(whole.part(first_line, last_line)),
        first_line=first_line,
        week_temp_f=float(year.temp_f[-WEEK_DAYS:].mean()),
        week_emc_pct=float(year.emc_pct()[-WEEK_DAYS:].mean()),
        sources=whole.part(since, yesterday).sources_in_words(),
        since=since,
    )


def source_words(source: str) -> str:
    """Where a day came from, in full."""
    return IN_WORDS[source]


def _oldest_wood() -> date | None:
    """The day on which the oldest wood that stands today was sawn."""
    standing = Cohort.objects.filter(left_at__isnull=True)
    return standing.order_by("started_on").values_list("started_on", flat=True).first()


def _lines(air: DailyAir) -> list[WeatherLine]:
    """The newest day first."""
    columns = zip(
        air.days, air.temp_f.tolist(), air.rh_pct.tolist(), air.emc_pct().tolist(), air.temp_from, air.rh_from,
        strict=True,
    )  # fmt: skip
    return [WeatherLine(*row) for row in columns][::-1]

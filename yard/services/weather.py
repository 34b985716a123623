"""The air of the yard and of a bay by day: a sensor first, then weather files, then the built-in climate."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np

from yard.models import Bay, BayAir, SensorDay, WeatherDay, Yard
from yard.services.readings import HOURS_FOR_A_DAY
from yard.wood.cities import MonthClimate
from yard.wood.climate import MonthlyClimate, daily_climate, monthly_climate
from yard.wood.moisture import EMC_COLDEST_F, equilibrium_mc_pct

FROM_SENSOR, FROM_FILE, FROM_CLIMATE, FROM_SETTING = "sensor", "file", "climate", "setting"
FROM_OWN_CLIMATE = "own climate"
USUAL = frozenset({FROM_CLIMATE, FROM_OWN_CLIMATE})
IN_WORDS = {
    FROM_SENSOR: "a sensor in the yard",
    FROM_FILE: "weather files",
    FROM_CLIMATE: "the built-in climate (a usual year, not this one)",
    FROM_OWN_CLIMATE: "the usual year of a weather file (not this one)",
    FROM_SETTING: "the bay's own setting",
}


class NoPlaceError(RuntimeError):
    """The yard has no place yet, so it has no weather."""

    def __init__(self):
        super().__init__("The yard has no place yet: choose it under Set-up, then the wood's air is known.")


@dataclass(frozen=True)
class DailyAir:
    """Air by day from `first`: `temp_f` and `rh_pct` arrays, and where each day's figures came from."""

    first: date
    temp_f: np.ndarray
    rh_pct: np.ndarray
    temp_from: list[str] = field(default_factory=list)
    rh_from: list[str] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.temp_f)

    @property
    def days(self) -> list[date]:
        return [self.first + timedelta(days=n) for n in range(len(self))]

    def part(self, first: date, last: date) -> "DailyAir":
        """The days from `first` to `last` alone, which must lie within."""
        some = slice((first - self.first).days, (last - self.first).days + 1)
        return DailyAir(first, self.temp_f[some], self.rh_pct[some], self.temp_from[some], self.rh_from[some])

    def emc_pct(self) -> np.ndarray:
        """The EMC of each day, of its mean temperature and mean humidity [%]."""
        return np.asarray(equilibrium_mc_pct(np.maximum(self.temp_f, EMC_COLDEST_F), np.clip(self.rh_pct, 0, 100)))

    def sources_in_words(self) -> list[str]:
        """One sentence a source, the most days first: how many days of temperature and humidity it gave."""
        total = len(self)
        sentences = []
        for source in sorted(set(self.rh_from), key=self.rh_from.count, reverse=True):
            days = self.rh_from.count(source)
            sentences.append(f"{days} of {total} days from {IN_WORDS[source]}")
        only_temp = sum(
            1
            for temp, rh in zip(self.temp_from, self.rh_from, strict=True)
            if temp not in USUAL and rh in USUAL
        )
        if only_temp:
            sentences.append(f"on {only_temp} of them only the temperature was measured")
        return sentences


def yard_climate(yard: Yard) -> MonthlyClimate:
    """The twelve usual months: of the yard's own weather file where one was kept, else built in for its place."""
    if yard.own_climate:
        return _own_climate(yard.own_climate)
    if not yard.has_place:
        raise NoPlaceError
    return monthly_climate(yard.lat_deg, yard.lon_deg, yard.elevation_ft)


def _own_climate(kept: dict[str, Any]) -> MonthlyClimate:
    months = tuple(
        MonthClimate(number, temp_f, rh_pct, float(equilibrium_mc_pct(max(temp_f, EMC_COLDEST_F), rh_pct)))
        for number, (temp_f, rh_pct) in enumerate(kept["months"], start=1)
    )
    return MonthlyClimate(months, "weather file", kept["label"])


def yard_air(*, first: date, last: date, yard: Yard | None = None) -> DailyAir:
    """The yard's outdoor air from `first` to `last`; a day with neither sensor nor file is a usual day."""
    yard = yard or Yard.objects.get(pk=1)
    days = (last - first).days + 1
    usual = daily_climate(yard_climate(yard), first, days)
    usual_from = FROM_OWN_CLIMATE if yard.own_climate else FROM_CLIMATE
    air = DailyAir(
        first=first,
        temp_f=np.array(usual.temp_f, dtype=float),
        rh_pct=np.array(usual.rh_pct, dtype=float),
        temp_from=[usual_from] * days,
        rh_from=[usual_from] * days,
    )
    files = WeatherDay.objects.filter(day__range=(first, last)).order_by("file_id")  # the newest lies on top
    files = files.values_list("day", "temp_f", "rh_pct")
    _lay_over(air, files, FROM_FILE)
    sensor = SensorDay.objects.filter(
        sensor__is_outdoor=True, day__range=(first, last), hours__gte=HOURS_FOR_A_DAY
    ).values_list("day", "temp_f", "rh_pct")
    _lay_over(air, sensor, FROM_SENSOR)
    return air


def bay_air(*, bay: Bay | None, outdoors: DailyAir) -> DailyAir:
    """The air in a bay over the days of `outdoors`; no bay means out in the weather."""
    if bay is None or bay.air == BayAir.WEATHER:
        return outdoors
    days = len(outdoors)
    if bay.air == BayAir.STEADY:
        setting = [FROM_SETTING] * days
        return DailyAir(
            outdoors.first,
            np.full(days, bay.steady_temp_f),
            np.full(days, bay.steady_rh_pct),
            setting,
            setting,
        )
    air = DailyAir(
        outdoors.first,
        outdoors.temp_f.copy(),
        outdoors.rh_pct.copy(),
        list(outdoors.temp_from),
        list(outdoors.rh_from),
    )
    if bay.air == BayAir.OFFSET:
        np.add(air.temp_f, bay.offset_temp_f, out=air.temp_f)
        np.clip(air.rh_pct + bay.offset_rh_pct, 1.0, 99.0, out=air.rh_pct)
        return air
    last = outdoors.first + timedelta(days=days - 1)
    rows = SensorDay.objects.filter(
        sensor_id=bay.sensor_id, day__range=(outdoors.first, last), hours__gte=HOURS_FOR_A_DAY
    ).values_list("day", "temp_f", "rh_pct")
    _lay_over(air, rows, FROM_SENSOR)
    return air


def _lay_over(air: DailyAir, rows, source: str) -> None:
    for day, temp_f, rh_pct in rows:
        n = (day - air.first).days
        if temp_f is not None:
            air.temp_f[n] = temp_f
            air.temp_from[n] = source
        if rh_pct is not None:
            air.rh_pct[n] = rh_pct
            air.rh_from[n] = source

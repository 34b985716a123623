"""The air that a cohort has stood in, day by day from the saw to now, and the air that may come."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from django.utils import timezone

from yard.models import Bay, BayAir, Yard
from yard.services.air_history import AirSpan
from yard.services.weather import (
    FROM_SENSOR,
    DailyAir,
    bay_air,
    yard_air,
    yard_climate,
)
from yard.wood.drying import Air, air_from_humidity
from yard.wood.ensemble_run import FutureAir, future_air
from yard.wood.future_weather import FutureWeather, future_weather

FUTURE_DAYS = 730
FUTURE_TRACES = 32
SENSOR_MEMORY_DAYS = 30  # how far back a bay's own sensor tells how its air differs from the yard's (our choice)


@dataclass(frozen=True)
class PastAir:
    """What a cohort's wood has stood in: daily air from `first`, and the bay's name of each day."""

    daily: DailyAir
    bays: list[str]

    def for_model(self) -> Air:
        return air_from_humidity(self.daily.temp_f, self.daily.rh_pct)

    def in_words(self) -> list[str]:
        return self.daily.sources_in_words()


class AirBook:
    """The yard's air read once for a batch of cohorts: outdoors, each bay's, and the weathers to come."""

    def __init__(self, *, yard: Yard, first: date, today: date):
        self.yard, self.today = yard, today
        self.climate = yard_climate(yard)
        self.outdoors = yard_air(first=first, last=max(first, today - timedelta(days=1)), yard=yard)
        self._bays: dict[int | None, DailyAir] = {None: self.outdoors}
        self._coming: FutureWeather | None = None

    def past(self, spans: Sequence[AirSpan], start: date, end: date) -> PastAir:
        """The air of each day from `start` up to but not with `end`: that of the bay where the wood was at noon."""
        days = max(1, (end - start).days)
        offset = (start - self.outdoors.first).days
        temps, rhs = np.empty(days), np.empty(days)
        temp_from, rh_from, names = [], [], []
        for n, bay in enumerate(_bay_of_each_day(spans, start, days)):
            air = self.of_bay(bay)
            at = min(offset + n, len(air) - 1)
            temps[n], rhs[n] = air.temp_f[at], air.rh_pct[at]
            temp_from.append(air.temp_from[at])
            rh_from.append(air.rh_from[at])
            names.append(bay.name if bay else "")
        return PastAir(DailyAir(start, temps, rhs, temp_from, rh_from), names)

    def of_bay(self, bay: Bay | None) -> DailyAir:
        key = bay.pk if bay else None
        if key not in self._bays:
            self._bays[key] = bay_air(bay=bay, outdoors=self.outdoors)
        return self._bays[key]

    def coming(self, bay: Bay | None) -> FutureAir:
        """The weathers that may come, as they would be in a bay."""
        if self._coming is None:
            self._coming = future_weather(
                self.climate, self.today, FUTURE_DAYS, FUTURE_TRACES, seed=self.today.toordinal()
            )
        weather = self._coming
        if bay is None or bay.air == BayAir.WEATHER:
            return future_air(weather)
        if bay.air == BayAir.STEADY:
            steady = np.full((1, FUTURE_DAYS), 1.0)
            return future_air(FutureWeather(self.today, steady * bay.steady_temp_f, steady * bay.steady_rh_pct))
        temp_step, rh_step = self._steps(bay)
        return future_air(
            FutureWeather(self.today, weather.temp_f + temp_step, np.clip(weather.rh_pct + rh_step, 5.0, 100.0))
        )

    def _steps(self, bay: Bay) -> tuple[float, float]:
        """How a bay's air differs from the yard's: as set, or as its sensor has shown of late."""
        if bay.air == BayAir.OFFSET:
            return bay.offset_temp_f, bay.offset_rh_pct
        inside, last = self.of_bay(bay), slice(-SENSOR_MEMORY_DAYS, None)
        seen = np.array([source == FROM_SENSOR for source in inside.rh_from[last]])
        if not seen.any():
            return 0.0, 0.0
        temp = (inside.temp_f[last] - self.outdoors.temp_f[last])[seen].mean()
        rh = (inside.rh_pct[last] - self.outdoors.rh_pct[last])[seen].mean()
        return float(temp), float(rh)


def future_in_words(bay: Bay | None) -> str:
    """What is taken for the air to come, for the list of reasons."""
    where = bay.name if bay else "the yard"
    if bay is not None and bay.air == BayAir.STEADY:
        return f"To come: the air held in {where}."
    if bay is not None and bay.air == BayAir.SENSOR:
        return f"To come: usual weather, as {where} has differed from the yard in the last {SENSOR_MEMORY_DAYS} days."
    return f"To come: usual weather with day-to-day scatter, the wood staying in {where}."


def _bay_of_each_day(spans: Sequence[AirSpan], start: date, days: int) -> list[Bay | None]:
    found: list[Bay | None] = [None] * days
    for span in spans:
        since = timezone.localtime(span.since)
        first = (since.date() - start).days + (1 if since.hour >= 12 else 0)
        last = days
        if span.until is not None:
            until = timezone.localtime(span.until)
            last = (until.date() - start).days + (1 if until.hour >= 12 else 0)
        for n in range(max(0, first), min(days, last)):
            found[n] = span.bay
    return found

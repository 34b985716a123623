"""The air of the last week outdoors and in every bay: how cold, and what it would bring wood to."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from yard.models import Bay, BayAir, SensorDay, Yard
from yard.services.readings import HOURS_FOR_A_DAY
from yard.services.weather import DailyAir, NoPlaceError, yard_air
from yard.wood.moisture import EMC_COLDEST_F, equilibrium_mc_pct
from yard.wood.ranges import OutsideRange

DAYS = 7
FREEZING_F = 32.0
Measured = tuple[int, float | None, float | None]  # day from the first, temperature [°F], humidity [%]


@dataclass(frozen=True, slots=True)
class WeekOfAir:
    """Mean temperature [°F] and EMC of the mean air [%] over the last week."""

    temp_f: float
    emc_pct: float

    @property
    def is_frozen(self) -> bool:
        return self.temp_f < FREEZING_F


@dataclass(frozen=True)
class AirNow:
    """The last week's air outdoors and by bay id; empty where the yard has no place."""

    outdoors: WeekOfAir | None
    by_bay: dict[int, WeekOfAir]

    def of(self, bay_id: int | None) -> WeekOfAir | None:
        return self.by_bay.get(bay_id, self.outdoors) if bay_id is not None else self.outdoors

    @property
    def frozen_bays(self) -> list[int]:
        """Ids of the bays where the air was below freezing."""
        return [pk for pk, week in self.by_bay.items() if week.is_frozen]


def air_now(*, yard: Yard, today: date) -> AirNow:
    """The last week's air; four queries, however many bays there are."""
    last = today - timedelta(days=1)
    try:
        outdoors = yard_air(first=last - timedelta(days=DAYS - 1), last=last, yard=yard)
    except (NoPlaceError, OutsideRange):
        return AirNow(None, {})
    bays = list(Bay.objects.filter(closed_on__isnull=True))
    measured = _measured({bay.sensor_id for bay in bays if bay.air == BayAir.SENSOR}, outdoors)
    return AirNow(_week(outdoors.temp_f, outdoors.rh_pct), {bay.pk: _of_bay(bay, outdoors, measured) for bay in bays})


def _measured(sensor_ids: set[int | None], outdoors: DailyAir) -> dict[int, list[Measured]]:
    rows = SensorDay.objects.filter(
        sensor__in=sensor_ids - {None}, day__gte=outdoors.first, hours__gte=HOURS_FOR_A_DAY
    ).values_list("sensor_id", "day", "temp_f", "rh_pct")
    found: dict[int, list[Measured]] = defaultdict(list)
    for sensor_id, day, temp_f, rh_pct in rows:
        number = (day - outdoors.first).days
        if number < len(outdoors):
            found[sensor_id].append((number, temp_f, rh_pct))
    return found


def _of_bay(bay: Bay, outdoors: DailyAir, measured: dict[int, list[Measured]]) -> WeekOfAir:
    temps, humidities = outdoors.temp_f.copy(), outdoors.rh_pct.copy()
    if bay.air == BayAir.STEADY:
        temps[:], humidities[:] = bay.steady_temp_f, bay.steady_rh_pct
    elif bay.air == BayAir.OFFSET:
        temps += bay.offset_temp_f
        humidities = np.clip(humidities + bay.offset_rh_pct, 1.0, 99.0)
    elif bay.air == BayAir.SENSOR:
        for number, temp_f, rh_pct in measured.get(bay.sensor_id, []):
            temps[number] = temps[number] if temp_f is None else temp_f
            humidities[number] = humidities[number] if rh_pct is None else rh_pct
    return _week(temps, humidities)


def _week(temps: np.ndarray, humidities: np.ndarray) -> WeekOfAir:
    temp, humidity = float(temps.mean()), float(np.clip(humidities.mean(), 0.0, 100.0))
    return WeekOfAir(temp, float(equilibrium_mc_pct(max(temp, EMC_COLDEST_F), humidity)))

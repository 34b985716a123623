"""Made-up weather for the invented yard: its usual climate with seeded noise, as a file and as a sensor."""

from datetime import UTC, datetime, timedelta

import numpy as np

from yard.demo.clock import Clock
from yard.models import Bay, Sensor, WeatherDay, WeatherFile, Yard
from yard.services.readings import ReadingIn, readings_record
from yard.services.weather import yard_climate
from yard.wood.future_weather import FutureWeather, future_weather

FIRST_DAY, SENSOR_SINCE = 560, 150
GAP = range(61, 66)  # days ago: the sensor's battery was flat
SEED = 20
DAY_SWING_F, DAY_SWING_RH = 9.0, 16.0


def made_up_weather(yard: Yard, clock: Clock) -> FutureWeather:
    """Every day from the first to today."""
    return future_weather(yard_climate(yard), clock.day(FIRST_DAY), FIRST_DAY, 1, seed=SEED)


def write_weather(yard: Yard, clock: Clock) -> None:
    """Keep it as a weather file up to the day when the yard hung up its own sensor, then as readings."""
    weather = made_up_weather(yard, clock)
    file_days = FIRST_DAY - SENSOR_SINCE
    kept = WeatherFile.objects.create(
        name="upper-wendle.csv", format="A sensor's own CSV", station="Made up for the demo", days_read=file_days,
        first_day=clock.day(FIRST_DAY), last_day=clock.day(SENSOR_SINCE + 1),
    )  # fmt: skip
    WeatherDay.objects.bulk_create(
        WeatherDay(
            day=clock.day(FIRST_DAY - n), temp_f=round(float(weather.temp_f[0, n]), 1),
            rh_pct=round(float(weather.rh_pct[0, n]), 1), file=kept,
        )
        for n in range(file_days)
    )  # fmt: skip
    sensor = Sensor.objects.create(name="Yard post", is_outdoor=True, note="On the north side of the long shed.")
    readings_record(sensor=sensor, rows=list(_hours(weather, clock)))


def _hours(weather: FutureWeather, clock: Clock):
    midnight = datetime(clock.today.year, clock.today.month, clock.today.day, 6, tzinfo=UTC)
    for ago in range(SENSOR_SINCE, 0, -1):
        if ago in GAP:
            continue
        n = FIRST_DAY - ago
        for hour in range(0, 24, 2):
            swing = np.sin((hour - 9) / 24 * 2 * np.pi)
            yield ReadingIn(
                at=midnight - timedelta(days=ago) + timedelta(hours=hour),
                temp_f=round(float(weather.temp_f[0, n]) + DAY_SWING_F * swing, 1),
                rh_pct=round(float(np.clip(weather.rh_pct[0, n] - DAY_SWING_RH * swing, 8, 100)), 1),
            )


def write_kiln_air(bay: Bay, clock: Clock, runs: list[tuple[int, int]]) -> None:
    """Readings of the sensor in the sun kiln for its runs: warm days, moist nights."""
    sensor = Sensor.objects.create(name="Kiln top", note="Under the ridge, before the fans.")
    Bay.objects.filter(pk=bay.pk).update(air="sensor", sensor=sensor)
    rows = [row for begin, end in runs for row in _kiln_hours(clock, begin, end)]
    readings_record(sensor=sensor, rows=rows)


def _kiln_hours(clock: Clock, begin: int, end: int):
    midnight = datetime(clock.today.year, clock.today.month, clock.today.day, 6, tzinfo=UTC)
    for ago in range(begin, end, -1):
        share = min(1.0, (begin - ago) / max(1, begin - end))
        for hour in range(0, 24, 2):
            sun = max(0.0, np.sin((hour - 6) / 12 * np.pi))
            yield ReadingIn(
                at=midnight - timedelta(days=ago) + timedelta(hours=hour),
                temp_f=round(94 + 30 * sun + 4 * share, 1), rh_pct=round(52 - 14 * sun - 20 * share, 1),
            )  # fmt: skip

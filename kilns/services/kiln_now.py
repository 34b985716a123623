"""What stands and happens in a kiln just now: its newest readings, its run with the phase, the wood in it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cached_property

from kilns.models import Kiln, KilnSensor, Phase, Run, RunPhase, SensorPlace
from kilns.physics.kiln_box import KilnBox
from kilns.services.kiln_boxes import box_of
from kilns.services.kiln_build import Build, build_of
from kilns.services.run_sensors import bay_sensor_speaks
from kilns.services.two_bulbs import rh_pct_read
from yard.models import Cohort, Reading, Yard
from yard.wood.moisture import equilibrium_mc_pct

AVERAGED = timedelta(minutes=10)  # one gust or one bad reading opens no alarm (our own choice)
OUTDOOR_UNKNOWN_F = 80.0  # °F outdoors where no sensor tells: layers get hotter by it, so the careful side (our own)
CLOCK_AHEAD = timedelta(minutes=15)  # a sensor's clock may run so much before the yard's
EVER = datetime(1990, 1, 1, tzinfo=UTC)  # the bay's own sensor has always been the kiln's
HUMID_FROM_F, HUMID_TO_F = 0.0, 260.0  # °F: where the EMC equation is asked (WH-GTR190 Eq. 4-5)


@dataclass(frozen=True)
class SensorNow:
    """A sensor of the kiln: the mean of its last minutes, and how long it has been silent."""

    place: KilnSensor
    heard_at: datetime | None
    silent_min: float
    temp_f: float | None = None
    rh_pct: float | None = None
    core_f: float | None = None

    @property
    def is_silent(self) -> bool:
        """Whether it has told nothing for longer than it may."""
        return self.silent_min > self.place.silent_after_min


@dataclass
class KilnNow:
    """A kiln at one moment, read once for all rules."""

    kiln: Kiln
    yard: Yard
    at: datetime
    sensors: list[SensorNow]
    run: Run | None
    phase: RunPhase | None
    cohorts: list[Cohort] = field(default_factory=list)

    @cached_property
    def build(self) -> Build:
        """What the kiln is made of."""
        return build_of(self.kiln)

    @cached_property
    def box(self) -> KilnBox:
        """The same for the physics. Errors: OutsideRange."""
        return box_of(self.kiln, elevation_ft=self.yard.elevation_ft, build=self.build)

    @property
    def inside(self) -> list[SensorNow]:
        """The sensors in the chamber's air that speak."""
        return self._speaking(SensorPlace.AIR_IN, SensorPlace.AIR_OUT)

    @property
    def hottest_f(self) -> float | None:
        """The hottest air of the chamber that a sensor tells; None where none does."""
        return max((one.temp_f for one in self.inside if one.temp_f is not None), default=None)

    @property
    def core_f(self) -> float | None:
        """The coldest probe in the wood."""
        probes = self._speaking(SensorPlace.CORE)
        return min((one.core_f for one in probes if one.core_f is not None), default=None)

    @property
    def outdoor_f(self) -> float | None:
        """The air outdoors, where a sensor of the kiln tells it."""
        return next((one.temp_f for one in self._speaking(SensorPlace.OUTDOOR) if one.temp_f is not None), None)

    @property
    def emc_pct(self) -> float | None:
        """The EMC of the air before the stack; None where no sensor tells temperature and humidity."""
        for one in self._speaking(SensorPlace.AIR_IN):
            if one.temp_f is not None and one.rh_pct is not None and HUMID_FROM_F <= one.temp_f <= HUMID_TO_F:
                return float(equilibrium_mc_pct(one.temp_f, one.rh_pct))
        return None

    @property
    def is_drying(self) -> bool:
        """Whether the run is at a drying step."""
        return self.phase is not None and self.phase.phase == Phase.DRYING

    def _speaking(self, *places: str) -> list[SensorNow]:
        return [one for one in self.sensors if one.place.place in places and not one.is_silent]


def kiln_now(kiln: Kiln, yard: Yard, at: datetime) -> KilnNow:
    """Read it, in a number of queries that grows with the kiln's sensors alone."""
    standing = kiln.kiln_sensors.filter(until__isnull=True, sensor__retired_on__isnull=True)
    places = list(standing.select_related("sensor"))
    own = kiln.bay.sensor
    missing = own is not None and own.retired_on is None and not any(p.place == SensorPlace.AIR_IN for p in places)
    if missing and bay_sensor_speaks(kiln, at):
        places.append(KilnSensor(kiln=kiln, sensor=own, place=SensorPlace.AIR_IN, since=EVER))
    run = kiln.runs.running().select_related("schedule").first()
    phase = run.phases.filter(ended_at__isnull=True).first() if run else None
    cohorts = Cohort.objects.none()
    if run:
        cohorts = Cohort.objects.filter(stack__in_runs__run=run, left_at__isnull=True)
    found = list(cohorts.select_related("estimate", "stack").order_by("pk"))
    return KilnNow(kiln, yard, at, [_sensor_now(one, yard, at) for one in places], run, phase, found)


def _sensor_now(place: KilnSensor, yard: Yard, at: datetime) -> SensorNow:
    rows = Reading.objects.filter(sensor=place.sensor, at__gte=place.since, at__lte=at + CLOCK_AHEAD)
    last = rows.order_by("-at").values_list("at", flat=True).first()
    silent_min = (at - (last or place.since)).total_seconds() / 60
    if last is None:
        return SensorNow(place, None, silent_min)
    late = list(rows.filter(at__gt=last - AVERAGED))
    probe = place.place == SensorPlace.CORE
    humid = (_humidity(one, yard.elevation_ft) for one in late)
    in_wood = (one.temp_f if one.core_f is None and probe else one.core_f for one in late)
    return SensorNow(place, last, silent_min, _mean(one.temp_f for one in late), _mean(humid), _mean(in_wood))


def _humidity(row: Reading, elevation_ft: float) -> float | None:
    """As given, else from the two bulbs."""
    return row.rh_pct if row.rh_pct is not None else rh_pct_read(row.temp_f, row.wet_bulb_f, elevation_ft)


def _mean(values: Iterable[float | None]) -> float | None:
    told = [value for value in values if value is not None]
    return sum(told) / len(told) if told else None

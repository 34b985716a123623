"""Which sensors speak for a run: those of its kiln in its time, the bay's own where none is entered, and the yard's."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q
from django.utils import timezone

from kilns.models import Kiln, KilnSensor, Run, SensorPlace
from yard.models import Sensor, SensorKind


@dataclass(frozen=True, slots=True)
class RunSensor:
    """A sensor and what it reads of a run's kiln, from when to when; None: all along."""

    sensor_id: int
    name: str
    place: str
    since: datetime | None = None
    until: datetime | None = None

    def within(self, since: datetime, until: datetime) -> tuple[datetime, datetime]:
        """The part of a stretch of time in which it stood there; it ends before it begins where there is none."""
        return max(since, self.since or since), min(until, self.until or until)

    @property
    def place_words(self) -> str:
        """Where it reads, as spoken."""
        return SensorPlace(self.place).label


@dataclass(frozen=True, slots=True)
class RunSpan:
    """From when to when a run is looked at."""

    since: datetime
    until: datetime

    @property
    def days(self) -> float:
        return (self.until - self.since).total_seconds() / 86_400


def run_span(run: Run, now: datetime | None = None) -> RunSpan | None:
    """The time of a run that has begun, up to its end or now; None for a planned one."""
    if run.started_at is None:
        return None
    return RunSpan(run.started_at, max(run.started_at, run.closed_at or now or timezone.now()))


def run_sensors(run: Run, span: RunSpan) -> list[RunSensor]:
    """The sensors of a run; three queries. The yard's outdoor sensor stands in where the kiln has none of its own."""
    there = KilnSensor.objects.filter(kiln=run.kiln, since__lte=span.until)
    there = there.filter(Q(until__isnull=True) | Q(until__gte=span.since)).select_related("sensor")
    found = [RunSensor(one.sensor_id, one.sensor.name, one.place, one.since, one.until) for one in there.order_by("id")]
    bay_sensor_id = run.kiln.bay.sensor_id if bay_sensor_speaks(run.kiln, span.until) else None
    others = Sensor.objects.filter(Q(is_outdoor=True) | Q(pk=bay_sensor_id))
    for sensor in others:
        known = any(one.sensor_id == sensor.pk for one in found)
        if sensor.is_outdoor and not any(one.place == SensorPlace.OUTDOOR for one in found):
            found.append(RunSensor(sensor.pk, sensor.name, SensorPlace.OUTDOOR))
        elif not sensor.is_outdoor and not known and not any(one.place == SensorPlace.AIR_IN for one in found):
            place = SensorPlace.CORE if sensor.kind == SensorKind.CORE else SensorPlace.AIR_IN
            found.append(RunSensor(sensor.pk, sensor.name, place))
    return found


def bay_sensor_speaks(kiln: Kiln, at: datetime) -> bool:
    """Whether the bay's own sensor told of this kiln then: not once taken out of it, nor while it stood in another."""
    if kiln.bay.sensor_id is None:
        return False
    last = KilnSensor.objects.filter(sensor=kiln.bay.sensor_id, since__lte=at).order_by("-since", "-id").first()
    return last is None or (last.until is not None and last.until <= at and last.kiln_id != kiln.pk)

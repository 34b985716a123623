"""Readings that sensors and hubs post: each to its sensor, what is new kept, what looks wrong told."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from yard.models import Reading, ReadingToken, Sensor
from yard.quantities import temp
from yard.services.reading_tokens import reading_token_used
from yard.services.readings import ReadingIn, readings_record
from yard.services.weather import NoPlaceError, yard_climate
from yard.services.yard_settings import the_yard
from yard.wood.climate import daily_climate
from yard.wood.ranges import OutsideRange
from yard.wood.units import c_from_f, f_from_c

SAME_AIR = timedelta(hours=2)  # so close in time, air does not change to what another unit would make of it
FAR_F = 25.0  # °F from the last reading, or from the season: far enough to ask after the unit (our own limits)
NEAR_F = 8.0


@dataclass(frozen=True)
class PostedReading:
    """One reading as posted: its place in the message, its sensor's code (may be empty), and what it gave."""

    place: int
    sensor: str
    reading: ReadingIn


@dataclass(frozen=True)
class Refusal:
    """A reading that was not taken, and why; its place in the message counts from 1."""

    reading: int
    sensor: str
    time: str
    why: str


@dataclass
class PostAnswer:
    """What became of a message."""

    taken: int = 0
    known: int = 0
    refused: list[Refusal] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


@transaction.atomic
def posted_readings_keep(
    *, token: ReadingToken, posted: Sequence[PostedReading], refused: Iterable[Refusal] = ()
) -> PostAnswer:
    """Keep all that can be kept of a message, in one transaction: what is answered is what is kept."""
    answer = PostAnswer(refused=list(refused))
    sensors = {sensor.code: sensor for sensor in token.sensors.order_by("pk")}
    batches: dict[str, list[ReadingIn]] = defaultdict(list)
    for one in posted:
        code, why = _whose(one.sensor, sensors)
        if why:
            answer.refused.append(Refusal(one.place, one.sensor, one.reading.at.isoformat(), why))
        else:
            batches[code].append(one.reading)
    for code in sorted(batches):
        _keep(sensors[code], batches[code], answer)
    answer.refused.sort(key=lambda one: one.reading)
    reading_token_used(token=token, told=" ".join(answer.notes) or _first_refusal(answer))
    return answer


def _whose(code: str, sensors: dict[str, Sensor]) -> tuple[str, str]:
    """The code of the sensor meant, or why there is none."""
    if not code and len(sensors) != 1:
        return "", f"say which sensor: this token is for {', '.join(sensors)}"
    code = code or next(iter(sensors))
    if code not in sensors:
        return "", f"this token is not for a sensor {code[:12]}; it is for {', '.join(sensors) or 'none any more'}"
    if sensors[code].retired_on is not None:
        return "", f"{sensors[code].name} is retired: nothing more is taken of it"
    return code, ""


def _keep(sensor: Sensor, rows: list[ReadingIn], answer: PostAnswer) -> None:
    unit = _unit_note(sensor, min(rows, key=lambda row: row.at))
    taken = readings_record(sensor=sensor, rows=rows)
    answer.taken += taken.new
    answer.known += taken.known
    if unit and taken.new:
        answer.notes.append(unit)
    if taken.other:
        answer.notes.append(
            f"{sensor.name}: {taken.other:,} of the times were known with other figures; what was kept first stays. "
            "Was the sensor's clock set back?"
        )
    humid = [row.rh_pct for row in rows if row.rh_pct is not None]
    if len(humid) > 1 and max(humid) <= 1.0:
        answer.notes.append(f"{sensor.name}: rh_pct is at most {max(humid):g}: send percent, 0 to 100.")


def _unit_note(sensor: Sensor, first: ReadingIn) -> str:
    """A sentence where the temperature fits the last one, or the season, only as if it were of the other unit."""
    name, now_f = next(
        ((name, value) for name in ("temp_f", "core_f") if (value := getattr(first, name)) is not None), ("", None)
    )
    if now_f is None:
        return ""
    before = Reading.objects.filter(sensor=sensor, at__lte=first.at, at__gte=first.at - SAME_AIR)
    last_f = before.filter(**{f"{name}__isnull": False}).order_by("-at").values_list(name, flat=True).first()
    if last_f is None:
        last_f = _season_f(sensor, first) if name == "temp_f" and sensor.is_outdoor else None
    if last_f is None or abs(now_f - last_f) < FAR_F:
        return ""
    for sent, other, meant_f in (("°F", "°C", f_from_c(now_f)), ("°C", "°F", c_from_f(now_f))):
        if abs(meant_f - last_f) < NEAR_F:
            return (
                f"{sensor.name}: {temp(now_f)} where about {temp(last_f)} was to be expected. "
                f"It fits if {other} was sent as {sent}: look at the unit."
            )
    return ""


def _season_f(sensor: Sensor, first: ReadingIn) -> float | None:
    """What is usual outdoors, for the first reading of the yard's own sensor; None where nobody knows."""
    if sensor.readings.exists():
        return None
    try:
        return float(daily_climate(yard_climate(the_yard()), timezone.localdate(first.at), 1).temp_f[0])
    except (NoPlaceError, OutsideRange):
        return None


def _first_refusal(answer: PostAnswer) -> str:
    return f"Refused: {answer.refused[0].why}." if answer.refused else ""

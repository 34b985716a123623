"""The clock of heat in the core: by probes as they measured, or by the model driven with the measured air."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db.models import Q

from kilns.models import Phase, Run, RunPhase, SensorPlace
from kilns.physics.core_history import CoreHistory, core_history, gap_words, longest_hold
from kilns.physics.heating import THICKEST_IN
from kilns.physics.treatments import HeatTreatment, heat_treatments
from kilns.services.run_sensors import RunSensor, run_span
from kilns.services.two_bulbs import rh_pct_read
from yard.models import Reading, Slab, SlabKind
from yard.services.memberships import when
from yard.wood.ranges import OutsideRange

LONGEST_SPAN = timedelta(days=7)
# of readings that a hold is sought in (our own limit)
WARM_BEFORE = timedelta(hours=12)
# before the window, so that the model begins with wood that lags as it did (our own choice)
LEAD_MISSING = timedelta(hours=1)
# of those hours may be without readings (our own limit)


@dataclass(frozen=True)
class ProbeHold:
    """What one probe in the wood showed against a treatment."""

    name: str
    newest_f: float
    highest_f: float
    lowest_held_f: float | None
    longest_min: float
    began_at: datetime | None
    proved_at: datetime | None
    readings: int
    gaps: str = ""

    @property
    def proved(self) -> bool:
        return self.proved_at is not None


@dataclass(frozen=True)
class HoldNow:
    """The clock as it stands; the slowest probe decides. `probes` is empty where none sits in the wood.

    `unread` names those that stand in it and told nothing: what their piece did is not known.
    """

    treatment: HeatTreatment
    since: datetime
    until: datetime
    probes: tuple[ProbeHold, ...]
    unread: tuple[str, ...] = ()

    @property
    def slowest(self) -> ProbeHold | None:
        """The probe that was held shortest, or is coldest."""
        return min(self.probes, key=lambda one: (one.longest_min, one.highest_f), default=None)

    @property
    def proved(self) -> bool:
        """Whether every probe was hot for long enough."""
        return bool(self.probes) and all(one.proved for one in self.probes)


@dataclass(frozen=True)
class Piece:
    """The piece that is slowest to heat."""

    species_key: str
    thickness_in: float
    width_in: float
    mc_pct: float
    words: str


@dataclass(frozen=True)
class ModelHold:
    """What the model says of a piece in the measured air; no time is given where only a probe can tell."""

    piece: Piece
    start_f: float
    history: CoreHistory
    began_at: datetime | None
    proved_at: datetime | None
    lowest_held_f: float | None
    readings: int
    hottest_air_f: float

    @property
    def highest_f(self) -> float:
        """The hottest that the core became."""
        return float(self.history.core_f.max())


def sanitise_span(phases: Sequence[RunPhase], now: datetime) -> tuple[datetime, datetime] | None:
    """The window of the newest sanitising phase; None where there was none."""
    found = [one for one in phases if one.phase == Phase.SANITISE]
    if not found:
        return None
    until = found[-1].ended_at or now
    return max(found[-1].began_at, until - LONGEST_SPAN), until


def hold_now(
    phases: Sequence[RunPhase], sensors: Sequence[RunSensor], now: datetime, treatment: HeatTreatment | None = None
) -> HoldNow | None:
    """The clock of the probes in the sanitising phase; one query. None where the run has not come there."""
    window = sanitise_span(phases, now)
    if window is None:
        return None
    return probe_hold(sensors, *window, treatment or heat_treatments()[0])


def check_window(run: Run, since: datetime, until: datetime) -> None:
    """Refuse a window that reaches beyond the run: what the kiln did then, it did to another load. ValidationError."""
    span = run_span(run)
    minute = timedelta(minutes=1)
    if span is None:
        raise ValidationError({"since": f"{run.name} has not begun."})
    if since <= span.since - minute:
        raise ValidationError({"since": f"{run.name} began on {when(span.since)}: choose that moment or a later one."})
    if run.closed_at is not None and until >= run.closed_at + minute:
        raise ValidationError({"until": f"{run.name} ended on {when(run.closed_at)}: choose that moment or before."})


def probe_hold(sensors: Sequence[RunSensor], since: datetime, until: datetime, treatment: HeatTreatment) -> HoldNow:
    """What the probes in the wood show between two moments, each while it sat there; one query."""
    inside = [one for one in sensors if one.place == SensorPlace.CORE]
    names, wanted = {}, Q(pk__in=[])
    for one in inside:
        begin, end = one.within(since, until)
        if begin <= end:
            names[one.sensor_id] = one.name
            wanted |= Q(sensor=one.sensor_id, at__gte=begin, at__lte=end)
    columns: dict[int, list[tuple[datetime, float]]] = {}
    rows = Reading.objects.filter(wanted).order_by("at")
    for sensor_id, at, core_f, temp_f in rows.values_list("sensor_id", "at", "core_f", "temp_f"):
        value = core_f if core_f is not None else temp_f
        if value is not None:
            columns.setdefault(sensor_id, []).append((at, value))
    probes = tuple(_probe(names[key], pairs, treatment) for key, pairs in columns.items())
    return HoldNow(treatment, since, until, probes, tuple(name for key, name in names.items() if key not in columns))


def model_hold(
    sensors: Sequence[RunSensor],
    since: datetime,
    until: datetime,
    treatment: HeatTreatment,
    piece: Piece,
    *,
    start_f: float | None = None,
    loaded_at: datetime | None = None,
    elevation_ft: float = 0.0,
) -> ModelHold:
    """Follow the core of a piece through the measured air; a second or two.

    Parameters: start_f of the wood when the window begins; without it the wood is taken as cold as the coldest air of
    the twelve hours before, and followed through them: they must have been read, and the wood in the kiln since
    `loaded_at`. Errors: OutsideRange where that is not so, there are no readings, or the piece is out of the model.
    """
    begin = since if start_f is not None else since - WARM_BEFORE
    rows = _air(sensors, begin, until, elevation_ft)
    if len(rows) < 2:
        raise OutsideRange("readings of the kiln's air", len(rows), 2, None, "", "Read its sensor's file in first")
    if start_f is None:
        _check_lead(max(loaded_at or begin, rows[0][0]), begin, since)
        start_f = min(dry for at, dry, _ in rows if at <= since)
    minutes = [(at - rows[0][0]).total_seconds() / 60 for at, _, _ in rows]
    humid = [rh for _, _, rh in rows]
    history = core_history(
        minutes, [dry for _, dry, _ in rows], piece.species_key, min(piece.thickness_in, THICKEST_IN),
        min(piece.width_in, THICKEST_IN), piece.mc_pct, start_f=start_f,
        rh_pct=humid if all(one is not None for one in humid) else None, core_f=treatment.core_f,
        hold_min=treatment.hold_min, elevation_ft=elevation_ft,
    )  # fmt: skip
    proved = None if history.proved_at_min is None else rows[0][0] + timedelta(minutes=history.proved_at_min)
    began = None if proved is None else proved - timedelta(minutes=treatment.hold_min)
    held = None
    if began is not None:
        first = (began - rows[0][0]).total_seconds() / 60
        last = first + treatment.hold_min
        inside = (history.minutes >= first - 1e-6) & (history.minutes <= last + 1e-6)
        held = float(history.core_f[inside].min())
    hottest = max(dry for _, dry, _ in rows)
    return ModelHold(piece, start_f, history, began, proved, held, len(rows), hottest)


def slowest_piece(slabs: Sequence[Slab], mc_pct: float) -> Piece | None:
    """The piece that is slowest to heat: the thickest, of equals the widest; None without slabs."""
    if not slabs:
        return None
    slab = max(slabs, key=lambda one: (one.thickness_in, one.mean_width_in))
    width = slab.mean_width_in if slab.kind != SlabKind.LOT else max(6.0, slab.mean_width_in)
    words = f"{slab.tag}, {slab.thickness_in:g} in thick and {width:.0f} in wide"
    return Piece(slab.species_key, slab.thickness_in, width, mc_pct, words)


def _probe(name: str, pairs: list[tuple[datetime, float]], treatment: HeatTreatment) -> ProbeHold:
    start = pairs[0][0]
    minutes = [(at - start).total_seconds() / 60 for at, _ in pairs]
    temps = [value for _, value in pairs]
    hold = longest_hold(minutes, temps, treatment.core_f, treatment.hold_min)
    proved = None if hold.proved_at_min is None else start + timedelta(minutes=hold.proved_at_min)
    began = None if proved is None else proved - timedelta(minutes=treatment.hold_min)
    held = [value for at, value in pairs if began is not None and proved is not None and began <= at <= proved]
    return ProbeHold(
        name, temps[-1], max(temps), min(held, default=None), hold.longest_min, began, proved, len(pairs),
        gap_words(minutes),
    )  # fmt: skip


def _check_lead(known_from: datetime, begin: datetime, since: datetime) -> None:
    """Hot air says nothing of wood of which nobody knows how cold it came in."""
    if known_from - begin <= LEAD_MISSING:
        return
    known_h = max(0.0, (since - known_from).total_seconds() / 3600)
    raise OutsideRange(
        "time in read air before", round(known_h, 1), WARM_BEFORE / timedelta(hours=1), None, "h",
        "Say how warm the wood was at the start",
    )  # fmt: skip


def _air(
    sensors: Sequence[RunSensor], since: datetime, until: datetime, elevation_ft: float
) -> list[tuple[datetime, float, float | None]]:
    """The readings of the air before the stack; of several sensors that read it all along the coldest one's."""
    found = []
    for one in sensors:
        begin, end = one.within(since, until)
        rows = _air_of(one.sensor_id, begin, end, elevation_ft) if one.place == SensorPlace.AIR_IN else []
        if rows:
            missing = rows[0][0] - since + (until - rows[-1][0])
            found.append((missing, sum(dry for _, dry, _ in rows) / len(rows), rows))
    least = min((missing for missing, _, _ in found), default=timedelta(0))
    whole = [(mean_f, rows) for missing, mean_f, rows in found if missing <= least + LEAD_MISSING]
    return min(whole, key=lambda one: one[0])[1] if whole else []


def _air_of(
    sensor_id: int, since: datetime, until: datetime, elevation_ft: float
) -> list[tuple[datetime, float, float | None]]:
    rows = Reading.objects.filter(sensor=sensor_id, at__gte=since, at__lte=until, temp_f__isnull=False)
    found = []
    for at, dry, rh, wet in rows.order_by("at").values_list("at", "temp_f", "rh_pct", "wet_bulb_f"):
        found.append((at, dry, rh if rh is not None else rh_pct_read(dry, wet, elevation_ft)))
    return found

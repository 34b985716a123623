"""A run's readings for its chart, thinned by the database, with the same in words and as a table."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
from django.utils import timezone

from kilns.models import SensorPlace
from kilns.services.reading_hours import CHARTED, FIELDS, HOUR_S, Hours, buckets_now, hour_of
from kilns.services.run_sensors import RunSensor, RunSpan
from kilns.services.two_bulbs import rh_pct_read
from yard import quantities
from yard.shown_units import shown
from yard.wood.humid_air import wet_bulb_f as wet_bulb_of
from yard.wood.moisture import equilibrium_mc_pct
from yard.wood.ranges import OutsideRange
from yard.wood.units import c_from_f

MOST_POINTS, MOST_ROWS = 200, 40
# of a chart's line and of its table (our own limits: finer than a screen shows)
COLDEST_F, HOTTEST_F = -60.0, 230.0
# °F: air outside of this is a sensor's fault; the EMC is not asked for it
Column = dict[str, list[float | None]]


@dataclass(frozen=True)
class Line:
    """One line of the chart: mean, low and high by bucket; None where nothing was read. °F, or %."""

    key: str
    name: str
    unit: str
    mean: list[float | None]
    low: list[float | None]
    high: list[float | None]

    @property
    def known(self) -> list[float]:
        return [one for one in self.mean if one is not None]

    @property
    def newest(self) -> float | None:
        return self.known[-1] if self.known else None


@dataclass(frozen=True)
class TableRow:
    """A stretch of time with the mean of each line."""

    at: datetime
    values: list[str]


@dataclass(frozen=True)
class RunReadings:
    """Everything of a run's readings that its page shows; `lines` is empty without any."""

    sensors: list[RunSensor]
    lines: list[Line]
    at: list[datetime]
    hours_each: int
    count: int

    def line(self, key: str) -> Line | None:
        """A line by its key: dry, rh, wet, emc, core-1, outdoor."""
        return next((one for one in self.lines if one.key == key), None)


def run_readings(sensors: Sequence[RunSensor], span: RunSpan, zone: ZoneInfo, elevation_ft: float = 0.0) -> RunReadings:
    """Read them for a span, each sensor while it stood there; two queries, or four: see `buckets_now`."""
    ids = [one.sensor_id for one in sensors]
    if not ids:
        return RunReadings([], [], [], 1, 0)
    first, last = hour_of(span.since), hour_of(span.until)
    each = max(1, -(-(last - first + 1) // MOST_POINTS))
    rows = buckets_now(
        sensor_ids=ids, first=first, last=last, hours_each=each, zone=zone, inside=_hours_inside(sensors, span)
    )  # fmt: skip
    at = [datetime.fromtimestamp(one * each * HOUR_S, UTC) for one in range(first // each, last // each + 1)]
    columns = _columns(rows, first // each, len(at))
    lines = _lines([(one, _while_there(one, columns, at, each)) for one in sensors], elevation_ft)
    return RunReadings(list(sensors), lines, at, each, sum(row["count"] for row in rows))


def chart_data(readings: RunReadings, phases: Sequence, now: datetime) -> dict | None:
    """The chart as plain JSON in the person's units; None without readings."""
    if not readings.lines:
        return None
    return {
        "unit": "°C" if shown().metric else "°F", "hours": readings.hours_each,
        "at": [_local(at) for at in readings.at],
        "lines": [
            {"key": one.key, "name": one.name, "unit": one.unit, "mean": _shown(one, one.mean),
             "low": _shown(one, one.low), "high": _shown(one, one.high)}
            for one in readings.lines
        ],
        "set": [
            {"from": _local(one.began_at), "to": _local(one.ended_at or now), "name": _phase_name(one),
             "dry": None if one.dry_bulb_f is None else _unit(one.dry_bulb_f)}
            for one in phases
        ],
    }  # fmt: skip


def readings_words(readings: RunReadings, current) -> list[str]:
    """What the chart shows, in sentences: the newest of each, and how it lies to the set points."""
    told = []
    dry, rh, emc = (readings.line(key) for key in ("dry", "rh", "emc"))
    if dry is not None and dry.newest is not None:
        words = f"Dry bulb {quantities.temp(dry.newest)} at the last"
        if current is not None and current.dry_bulb_f is not None:
            words += f", set to {quantities.temp(current.dry_bulb_f)}"
        highs = [one for one in dry.high if one is not None]
        told.append(f"{words}; between {quantities.temp(min(dry.known))} and {quantities.temp(max(highs))} all along.")
    if rh is not None and rh.newest is not None:
        words = f"Humidity {quantities.pct(rh.newest)}"
        words += f", an EMC of {emc.newest:.1f}%" if emc is not None and emc.newest is not None else ""
        told.append(f"{words}; from {quantities.pct(rh.known[0])} at the start.")
    for line in readings.lines:
        if line.key.startswith("core") and line.newest is not None:
            highest = max(one for one in line.high if one is not None)
            told.append(f"{line.name}: {quantities.temp(line.newest)} at the last, {quantities.temp(highest)} at most.")
    outdoor = readings.line("outdoor")
    if outdoor is not None and outdoor.newest is not None:
        told.append(f"Outdoors {quantities.temp(outdoor.newest)} at the last.")
    return told


def readings_table(readings: RunReadings) -> tuple[list[str], list[TableRow]]:
    """The chart as a table of at most forty rows: the names, and the means of each stretch."""
    step = max(1, -(-len(readings.at) // MOST_ROWS))
    rows = []
    for start in range(0, len(readings.at), step):
        cells = [_cell(line, line.mean[start : start + step]) for line in readings.lines]
        if any(cell != quantities.NOTHING for cell in cells):
            rows.append(TableRow(readings.at[start], cells))
    return [line.name for line in readings.lines], rows


def _columns(rows: Sequence[dict], first: int, length: int) -> dict[int, Column]:
    found: dict[int, Column] = {}
    for row in rows:
        if row["sensor_id"] not in found:
            found[row["sensor_id"]] = {name: [None] * length for name in FIELDS}
        column, place = found[row["sensor_id"]], row["bucket"] - first
        for name in CHARTED:
            column[name][place] = row[name]
    return found


def _hours_inside(sensors: Sequence[RunSensor], span: RunSpan) -> Hours:
    """The hours in which each sensor stood there; those that did all along are left out."""
    found: dict[int, list[tuple[int, int]]] = {}
    for one in sensors:
        begin, end = one.within(span.since, span.until)
        before_end = end if one.until is None else end - timedelta(microseconds=1)
        found.setdefault(one.sensor_id, []).append((hour_of(begin), hour_of(before_end)))
    whole = [(hour_of(span.since), hour_of(span.until))]
    return {sensor: spans for sensor, spans in found.items() if spans != whole}


def _while_there(one: RunSensor, columns: dict[int, Column], at: Sequence[datetime], hours: int) -> Column | None:
    """What a sensor read while it stood at that place; None where it read nothing in all the span."""
    column = columns.get(one.sensor_id)
    if column is None or not at or (one.until is None and (one.since is None or one.since <= at[0])):
        return column
    each = timedelta(hours=hours)
    there = [
        (one.since is None or begin + each > one.since) and (one.until is None or begin < one.until) for begin in at
    ]
    return {name: [value if one else None for value, one in zip(values, there, strict=True)]
            for name, values in column.items()}  # fmt: skip


def _one_after_another(seen: Sequence[tuple[RunSensor, Column | None]], place: str) -> Column | None:
    """What was read at a place: by the first sensor there, and by those that came for it."""
    found = [column for one, column in seen if one.place == place and column is not None]
    if len(found) < 2:
        return found[0] if found else None
    return {
        name: [next((one for one in values if one is not None), None)
               for values in zip(*(column[name] for column in found), strict=True)]
        for name in found[0]
    }  # fmt: skip


def _lines(seen: Sequence[tuple[RunSensor, Column | None]], elevation_ft: float) -> list[Line]:
    lines: list[Line] = []
    air = _one_after_another(seen, SensorPlace.AIR_IN)
    if air is not None:
        lines += _air_lines(air, elevation_ft)
    for number, (one, column) in enumerate((one for one in seen if one[0].place == SensorPlace.CORE), 1):
        if column is not None:
            stem = "core" if any(value is not None for value in column["core_mean_f"]) else "temp"
            name = one.name if "core" in one.name.lower() else f"Core, {one.name}"
            lines.append(_line(f"core-{number}", name, "temp", column, f"{stem}_{{}}_f"))
    others = ((SensorPlace.AIR_OUT, "out", "Behind the stack"), (SensorPlace.OUTDOOR, "outdoor", "Outdoors"))
    for place, key, name in others:
        column = _one_after_another(seen, place)
        if column is not None:
            lines.append(_line(key, name, "temp", column, "temp_{}_f"))
    return [line for line in lines if line.known]


def _air_lines(column: Column, elevation_ft: float) -> list[Line]:
    dry = _line("dry", "Dry bulb", "temp", column, "temp_{}_f")
    rh = _line("rh", "Humidity", "pct", column, "rh_{}_pct")
    wet = _line("wet", "Wet bulb", "temp", column, "wet_bulb_{}_f")
    if not rh.known and wet.known:
        humid = [rh_pct_read(t, w, elevation_ft) for t, w in zip(dry.mean, wet.mean, strict=True)]
        rh = Line("rh", "Humidity", "pct", humid, humid, humid)
    if not wet.known and rh.known:
        wicks = [_wet(t, h, elevation_ft) for t, h in zip(dry.mean, rh.mean, strict=True)]
        wet = Line("wet", "Wet bulb", "temp", wicks, wicks, wicks)
    emc = _emcs(dry.mean, rh.mean)
    return [dry, wet, rh, Line("emc", "EMC", "pct", emc, emc, emc)]


def _line(key: str, name: str, unit: str, column: Column, fields: str) -> Line:
    return Line(key, name, unit, *(column[fields.format(of)] for of in ("mean", "low", "high")))


def _wet(temp_f: float | None, rh_pct: float | None, elevation_ft: float) -> float | None:
    return None if temp_f is None or rh_pct is None else _wet_rounded(round(temp_f), round(rh_pct), elevation_ft)


@lru_cache(maxsize=20_000)
def _wet_rounded(temp_f: int, rh_pct: int, elevation_ft: float) -> float | None:
    """By whole degrees and per cents, which is as near as a sensor: the wet bulb has to be sought."""
    try:
        return wet_bulb_of(float(temp_f), float(max(rh_pct, 1)), elevation_ft)
    except OutsideRange:
        return None


def _emcs(temps_f: Sequence[float | None], humidities_pct: Sequence[float | None]) -> list[float | None]:
    """The EMC of each bucket, all at once; None where one of the two was not read or is no air."""
    temps, humid = (np.array(values, dtype=np.float64) for values in (temps_f, humidities_pct))
    known = np.isfinite(temps) & np.isfinite(humid) & (temps > COLDEST_F) & (temps < HOTTEST_F)
    found: list[float | None] = [None] * len(temps)
    if known.any():
        contents = equilibrium_mc_pct(temps[known], np.clip(humid[known], 0.0, 100.0))
        for place, content in zip(np.flatnonzero(known).tolist(), contents.tolist(), strict=True):
            found[place] = content
    return found


def _local(at: datetime) -> str:
    return timezone.localtime(at).replace(tzinfo=None).isoformat(" ", "minutes")


def _unit(temp_f: float) -> float:
    return round(c_from_f(temp_f) if shown().metric else temp_f, 1)


def _shown(line: Line, values: Sequence[float | None]) -> list[float | None]:
    if line.unit == "temp":
        return [None if one is None else _unit(one) for one in values]
    return [None if one is None else round(one, 1) for one in values]


def _phase_name(phase) -> str:
    return f"Step {phase.step}" if phase.phase == "drying" else phase.get_phase_display()


def _cell(line: Line, values: Sequence[float | None]) -> str:
    known = [one for one in values if one is not None]
    if not known:
        return quantities.NOTHING
    mean = sum(known) / len(known)
    if line.unit == "temp":
        return quantities.temp(mean)
    return f"{mean:.1f}%" if line.key == "emc" else quantities.pct(mean)


def gap_words(readings: RunReadings, now: datetime) -> str:
    """A sentence where the kiln's air has not been read for long; empty else."""
    dry = readings.line("dry")
    if dry is None or not dry.known:
        return "No sensor reads this kiln's air: enter readings from a file, or let a sensor send them."
    last = max(at for at, value in zip(readings.at, dry.mean, strict=True) if value is not None)
    silent = now - last - timedelta(hours=readings.hours_each)
    hours = silent.total_seconds() / 3600
    return f"The air was last read {hours:.0f} hours ago." if hours >= 3 else ""

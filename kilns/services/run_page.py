"""All that the page of a run says, read together: a fixed number of queries, and no model is run."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone

from kilns.models import Condensate, EnergyReading, FinalReading, Run, RunNote, RunPhase, RunPhoto, RunStack, Treatment
from kilns.physics.equalising import PRONG_CAUTION, prong_test
from kilns.services.charge_workings import controlling_working, water_says
from kilns.services.core_hold import HoldNow, hold_now
from kilns.services.run_progress import Progress, progress_chart, progress_words, run_progress
from kilns.services.run_readings import (
    RunReadings,
    chart_data,
    gap_words,
    readings_table,
    readings_words,
    run_readings,
)
from kilns.services.run_samples import RunSamples, run_samples
from kilns.services.run_sensors import RunSpan, run_sensors, run_span
from kilns.services.run_steps import RunSteps, run_steps, since_words
from kilns.services.sheet_figure import Figure
from yard.models import Photo, Yard
from yard.wood.working import Working

NEWEST, MOST_STACK_PHOTOS = 40, 8
# records, and photos of its stacks, that the page shows (our own limits)


@dataclass(frozen=True)
class RunPage:
    """The run with everything around it."""

    run: Run
    stacks: list[RunStack]
    phases: list[RunPhase]
    span: RunSpan | None
    samples: RunSamples
    steps: RunSteps
    since: str
    readings: RunReadings | None
    chart: dict | None
    words: list[str]
    gap: str
    table: tuple
    progress: Progress | None
    progress_words: str
    progress_chart: dict | None
    hold: HoldNow | None
    condensates: list[Condensate]
    water_lb: float
    energy: list[EnergyReading]
    used_kwh: float | None
    notes: list[RunNote]
    prongs: list[tuple[RunNote, Any]]
    finals: list[FinalReading]
    treatments: list[Treatment]
    photos: list[RunPhoto]
    stack_photos: list[Photo]
    water: Figure
    working_samples: Working | None

    @property
    def seen(self) -> list[tuple[str, RunNote | Condensate | EnergyReading]]:
        """Notes, water and meter in one list, the newest first, each with its kind."""
        kinds = (("note", self.notes), ("condensate", self.condensates), ("energy", self.energy))
        found = [(kind, one) for kind, rows in kinds for one in rows]
        return sorted(found, key=lambda row: row[1].made_at, reverse=True)

    @property
    def prong_caution(self) -> str:
        return PRONG_CAUTION


def run_page(run: Run, *, yard: Yard, now: datetime | None = None) -> RunPage:
    """Read a run's page; `run` with its kiln, bay and schedule selected."""
    moment = now or timezone.now()
    stacks = list(run.run_stacks.select_related("stack__bay"))
    phases = list(run.phases.select_related("by"))
    span = run_span(run, moment)
    samples = run_samples(run, now=moment)
    steps = run_steps(run, samples, phases, yard.elevation_ft)
    sensors = run_sensors(run, span) if span else []
    readings = run_readings(sensors, span, ZoneInfo(yard.time_zone), yard.elevation_ft) if span else None
    progress = run_progress(run, samples, phases, span)
    condensates, energy = (list(rows.standing().select_related("by").order_by("-made_at", "-id"))
                           for rows in (run.condensates, run.energy_readings))  # fmt: skip
    notes, water_lb = _standing(run.notes), sum(one.water_lb for one in condensates)
    return RunPage(
        run, stacks, phases, span, samples, steps, since_words(steps.current, moment), readings,
        chart_data(readings, phases, span.until) if readings and span else None,
        readings_words(readings, steps.current) if readings else [],
        gap_words(readings, moment) if readings and run.closed_at is None else "",
        readings_table(readings) if readings else ([], []), progress, progress_words(progress),
        progress_chart(progress, samples), hold_now(phases, sensors, moment), condensates[:NEWEST],
        water_lb, energy[:NEWEST], used_kwh(run, energy), notes, _prongs(notes),
        _standing(run.final_readings.select_related("slab")), list(run.treatments.order_by("-id")),
        list(run.photos.all()), _stack_photos(run, stacks),
        water_says(run, water_lb), controlling_working(samples),
    )  # fmt: skip


def used_kwh(run: Run, energy: list[EnergyReading]) -> float | None:
    """What the meter has run through in this run; None where it was read less than twice."""
    shown = [one.meter_kwh for one in energy]
    if run.energy_start_kwh is not None:
        shown.append(run.energy_start_kwh)
    if run.energy_end_kwh is not None:
        shown.append(run.energy_end_kwh)
    return max(shown) - min(shown) if len(shown) > 1 else None


def _standing(rows) -> list:
    return list(rows.standing().select_related("by").order_by("-made_at", "-id")[:NEWEST])


def _prongs(notes: list[RunNote]) -> list[tuple[RunNote, Any]]:
    return [(one, prong_test(one.value)) for one in notes if one.kind == "prong" and one.value is not None]


def _stack_photos(run: Run, stacks: list[RunStack]) -> list[Photo]:
    """The photos of the run's stacks since it began."""
    if run.started_at is None:
        return []
    rows = Photo.objects.filter(stack__in=[one.stack_id for one in stacks], added_at__gte=run.started_at)
    return list(rows.select_related("stack", "by").order_by("-added_at")[:MOST_STACK_PHOTOS])

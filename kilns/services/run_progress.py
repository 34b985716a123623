"""Predicted against measured drying of a run: what its plan expected on each day, and what the samples showed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils import timezone

from kilns.models import Phase, Run, RunPhase
from kilns.services.run_samples import RunSamples
from kilns.services.run_sensors import RunSpan


@dataclass(frozen=True)
class DayOf:
    """A day on which samples were weighed: their mean, and what the plan expected then."""

    at: datetime
    day: float
    measured_pct: float
    planned_pct: float | None
    samples: int

    @property
    def behind_pct(self) -> float | None:
        """How much wetter than planned; below 0 it is drier."""
        return None if self.planned_pct is None else self.measured_pct - self.planned_pct


@dataclass(frozen=True)
class Progress:
    """The two beside each other; `planned` is MC by whole day of drying."""

    drying_since: datetime
    planned: tuple[float, ...]
    days: tuple[DayOf, ...]
    target_mc_pct: float

    @property
    def last(self) -> DayOf | None:
        return self.days[-1] if self.days else None


def run_progress(run: Run, samples: RunSamples, phases: Sequence[RunPhase], span: RunSpan | None) -> Progress | None:
    """Set them beside each other; the plan counts from when the drying began. No query. None before the start."""
    if span is None:
        return None
    began = next((one.began_at for one in phases if one.phase == Phase.DRYING), span.since)
    planned = tuple(float(one) for one in run.plan.get("mean_pct", ()))
    by_day: dict = {}
    for sample in samples.samples:
        for at, content in sample.points:
            if at >= span.since:
                by_day.setdefault(timezone.localdate(at), {})[sample.sample.pk] = (at, content)
    days = []
    for found in (by_day[day] for day in sorted(by_day)):
        at = max(at for at, _ in found.values())
        mean = sum(content for _, content in found.values()) / len(found)
        day = max(0.0, (at - began).total_seconds() / 86_400)
        days.append(DayOf(at, day, mean, _planned_on(planned, day), len(found)))
    return Progress(began, planned, tuple(days), run.target_mc_pct)


def progress_words(progress: Progress | None) -> str:
    """The newest of it in a sentence."""
    if progress is None or progress.last is None:
        return "No sample has been weighed in this run yet."
    last = progress.last
    words = f"Day {last.day:.0f}: {last.samples} samples average {last.measured_pct:.1f}%"
    if last.planned_pct is None:
        return f"{words}; the run has no plan to set beside it."
    behind = last.behind_pct or 0.0
    if abs(behind) < 0.5:
        return f"{words}, as planned ({last.planned_pct:.1f}%)."
    late = _days_at(progress.planned, last.measured_pct)
    by = f", which the plan had on day {late:.0f}" if late is not None else ""
    how = "wetter" if behind > 0 else "drier"
    return f"{words}, {abs(behind):.1f} points {how} than planned ({last.planned_pct:.1f}%){by}."


def progress_chart(progress: Progress | None, samples: RunSamples) -> dict | None:
    """The chart as plain JSON; None when there is nothing to draw."""
    if progress is None or not (progress.planned or progress.days):
        return None
    start = progress.drying_since
    return {
        "planned": {
            "at": [_local(start + timedelta(days=day)) for day in range(len(progress.planned))],
            "pct": [round(one, 1) for one in progress.planned],
        },
        "samples": [
            {
                "name": one.name,
                "at": [_local(at) for at, _ in one.points if at >= start - timedelta(days=3)],
                "pct": [round(content, 1) for at, content in one.points if at >= start - timedelta(days=3)],
            }
            for one in samples.samples
            if one.points
        ],
        "target": progress.target_mc_pct,
    }


def _planned_on(planned: Sequence[float], day: float) -> float | None:
    if not planned:
        return None
    low = min(int(day), len(planned) - 1)
    high = min(low + 1, len(planned) - 1)
    return planned[low] + (planned[high] - planned[low]) * min(1.0, day - low if day < len(planned) else 1.0)


def _days_at(planned: Sequence[float], content_pct: float) -> float | None:
    return next((float(day) for day, one in enumerate(planned) if one <= content_pct), None)


def _local(at: datetime) -> str:
    return timezone.localtime(at).strftime("%Y-%m-%d %H:%M")

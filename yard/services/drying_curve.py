"""The drying curve of a cohort: data for the chart, the table and the sentences that say the same."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from yard import quantities
from yard.models import Cohort, Estimate, EstimateTarget
from yard.services.cohort_records import CohortRecords, RecordLine
from yard.services.drying_path import DryingPath
from yard.templatetags.quantities import day as day_words

AFTER_READY_DAYS = 45  # the chart ends so long after the latest date of the own target, or at the path's end
ROW_EVERY_PAST, ROW_EVERY_AHEAD = 28, 28
SAMPLE_SHAPES = ("circle", "triangle-up", "square-open", "x", "star", "triangle-down", "cross", "hexagon")


@dataclass(frozen=True, slots=True)
class CurveRow:
    """One day of the table."""

    day: date
    mid_pct: float
    low_pct: float
    high_pct: float
    emc_pct: float | None
    frozen: bool
    when: str  # past, now or ahead


def curve_data(
    path: DryingPath, targets: list[EstimateTarget], records: CohortRecords, own: EstimateTarget | None
) -> dict[str, Any]:
    """What the chart draws, in columns from `first`; dates as ISO text."""
    end = min(len(path), _end(path, own) + 1)
    spells = [(max(a, path.first), min(b, path.day(end - 1))) for a, b in path.frozen_spells()]
    return {
        "first": path.first.isoformat(),
        "now": path.now,
        "low": path.low_pct[:end],
        "mid": path.mid_pct[:end],
        "high": path.high_pct[:end],
        "emc": path.emc_pct[:end],
        "frozen": [[a.isoformat(), (b + timedelta(days=1)).isoformat()] for a, b in spells if a <= b],
        "targets": [_target(one) for one in targets if one.is_own or _near(one, own)],
        "marks": _marks(records),
    }


def curve_rows(path: DryingPath, own: EstimateTarget | None) -> list[CurveRow]:
    """The same as a table: every four weeks, today, and the end of the chart."""
    end = min(len(path), _end(path, own) + 1)
    wanted = {*range(0, path.now, ROW_EVERY_PAST), path.now, *range(path.now, end, ROW_EVERY_AHEAD), end - 1}
    rows = []
    for number in sorted(one for one in wanted if 0 <= one < end):
        when = "now" if number == path.now else ("past" if number < path.now else "ahead")
        emc = path.emc_pct[number] if number < len(path.emc_pct) else None
        frozen = path.frozen[number] if number < len(path.frozen) else False
        rows.append(
            CurveRow(
                path.day(number), path.mid_pct[number], path.low_pct[number], path.high_pct[number], emc, frozen, when
            )
        )
    return rows


def curve_words(cohort: Cohort, estimate: Estimate, path: DryingPath, own: EstimateTarget | None) -> list[str]:
    """The chart in sentences."""
    mc = quantities.mc
    start = f"{path.mid_pct[0]:.0f}% on {day_words(path.first)}"
    low, high = mc(estimate.mean_low_pct), mc(estimate.mean_high_pct)
    words = [f"From about {start} to {mc(estimate.mean_pct)} now, between {low} and {high} 8 times in 10."]
    if path.emc_now_pct is not None:
        words.append(f"The air of the last days would bring it to {mc(path.emc_now_pct)} in the end.")
    if own is not None:
        words.append(target_words(own))
    frozen = sum(path.frozen[: path.now])
    if frozen:
        words.append(f"It stood frozen on {frozen} day{'s' if frozen > 1 else ''}, when little moves.")
    return words


def target_words(target: EstimateTarget) -> str:
    """When a target is reached, as a sentence."""
    goal = f"{target.target_mc_pct:g}%"
    if target.reached_now >= 0.9:
        sure = "over 99%" if target.reached_now > 0.99 else f"{target.reached_now:.0%}"
        return f"{goal} is reached: {sure} sure."
    if target.mid_on is None:
        return f"{goal}: {target.reason}" if target.reason else f"{goal} is not in sight."
    now = f", perhaps already ({target.reached_now:.0%})" if target.reached_now > 0.1 else ""
    likely = f"{goal} about {day_words(target.mid_on)}{now}"
    if target.high_on is None:
        earliest = f", {day_words(target.low_on)} at the earliest" if target.low_on else ""
        return f"{likely}{earliest}; no latest date is in sight."
    return f"{likely}, between {day_words(target.low_on)} and {day_words(target.high_on)} 8 times in 10."


def _end(path: DryingPath, own: EstimateTarget | None) -> int:
    """The last row of the chart: a while after the own target's latest date, at least a season ahead."""
    latest = own.high_on or own.mid_on if own else None
    ahead = path.now + 90
    if latest is not None:
        ahead = max(ahead, (latest - path.first).days + AFTER_READY_DAYS)
    elif own is not None and own.reached_now < 0.9:
        return len(path) - 1
    return min(ahead, len(path) - 1)


def _near(target: EstimateTarget, own: EstimateTarget | None) -> bool:
    """The other targets that are worth a line: those still ahead of the wood and not beyond its own."""
    return own is not None and target.target_mc_pct > own.target_mc_pct and target.reached_now < 0.9


def _target(target: EstimateTarget) -> dict[str, Any]:
    return {
        "pct": target.target_mc_pct,
        "own": target.is_own,
        "low": target.low_on.isoformat() if target.low_on else None,
        "mid": target.mid_on.isoformat() if target.mid_on and target.reached_now < 0.9 else None,
        "high": target.high_on.isoformat() if target.high_on else None,
    }


def _marks(records: CohortRecords) -> list[dict[str, Any]]:
    """What was measured, one series a sample, told apart by shape and words."""
    series: dict[str, dict[str, Any]] = {}
    for line in reversed(records.lines):
        if line.mc_pct is None:
            continue
        name, symbol = _series(line, series)
        one = series.setdefault(name, {"name": name, "symbol": symbol, "x": [], "y": [], "text": []})
        one["x"].append(line.day.isoformat())
        one["y"].append(round(line.mc_pct, 1))
        one["text"].append(_mark_words(line))
    return list(series.values())


def _series(line: RecordLine, series: dict[str, dict[str, Any]]) -> tuple[str, str]:
    if line.kind == "section":
        return "Oven section", "square"
    if line.kind == "reading":
        return "Meter, at its depth", "diamond"
    samples = sum(1 for name in series if name.startswith("Sample "))
    return f"Sample {line.name}", SAMPLE_SHAPES[samples % len(SAMPLE_SHAPES)]


def _mark_words(line: RecordLine) -> str:
    if line.kind == "reading":
        depth = f", {quantities.thickness(line.depth_in)} deep" if line.depth_in else ""
        return f"meter {line.mc_pct:.1f}%{depth}"
    if line.kind == "section":
        return f"oven section {line.mc_pct:.1f}%"
    basis = "by its oven-dry weight" if line.by_own else "from the estimate at its first weighing"
    return f"{line.name}: {quantities.weight(line.weight_lb)}, {line.mc_pct:.1f}% {basis}"

"""A log's scale by three rules and its volume, each with its working; the rules themselves are in yard.wood."""

import math
from dataclasses import dataclass

from yard.models import LogRule
from yard.wood import log_rules
from yard.wood.log_defects import net_scale_bf
from yard.wood.ranges import OutsideRange
from yard.wood.working import Working
from yard.wood.working_measures import working_log_scale, working_smalian

TRIM_SLACK_FT = 0.02  # a length typed to the centimetre may fall a quarter of an inch short of its foot

# The name that yard.wood.log_rules gives to each rule of a ticket.
RULE_KEYS = {
    LogRule.DOYLE: "doyle",
    LogRule.SCRIBNER: "scribner-decimal-c",
    LogRule.INTERNATIONAL: "international-quarter-inch",
}


@dataclass(frozen=True, slots=True)
class Scale:
    """Gross footage by each rule and the volume; None by a rule that does not reach this log."""

    doyle_bf: float | None
    scribner_bf: float | None
    international_bf: float | None
    cubic_ft3: float | None


@dataclass(frozen=True, slots=True)
class RuleLine:
    """One rule's figure for a log, or why there is none."""

    key: str
    name: str
    on_ticket: bool
    gross_bf: float | None
    net_bf: float | None
    working: Working | None
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class LogScale:
    """Everything a page shows of a log's scale."""

    lines: tuple[RuleLine, ...]
    cubic_ft3: float | None
    cubic_working: Working | None
    cubic_why_not: str
    notes: tuple[str, ...]


def scaling_length_ft(length_ft: float) -> float:
    """The length that is scaled: whole feet; what is over is trim (common practice, no source)."""
    return float(math.floor(length_ft + TRIM_SLACK_FT))


def net_bf(gross_bf: float | None, defect_pct: float) -> float | None:
    """The scale after the deduction for defects, itself taken to the whole board foot."""
    return None if gross_bf is None else net_scale_bf(gross_bf, lost_pct=defect_pct)


def large_end_taken_in(small_end_in: float, large_end_in: float | None, length_ft: float) -> float:
    """The large end as measured, or else with the taper that the International rule takes (MCL-290.401)."""
    if large_end_in is not None:
        return large_end_in
    sections = length_ft / log_rules.INTERNATIONAL_SECTION_FT
    return small_end_in + sections * log_rules.INTERNATIONAL_TAPER_IN


def scale_of(small_end_in: float, large_end_in: float | None, length_ft: float) -> Scale:
    """The figures that are kept with a log."""
    shown = log_scale(small_end_in, large_end_in, length_ft)
    gross = {line.key: line.gross_bf for line in shown.lines}
    return Scale(gross[LogRule.DOYLE], gross[LogRule.SCRIBNER], gross[LogRule.INTERNATIONAL], shown.cubic_ft3)


def log_scale(
    small_end_in: float,
    large_end_in: float | None,
    length_ft: float,
    *,
    defect_pct: float = 0.0,
    rule: str = "",
) -> LogScale:
    """Scale a log by all rules; `rule` is the one on the ticket. A figure beyond a rule's range says why not."""
    lines = tuple(_line(key, small_end_in, length_ft, defect_pct, rule) for key in LogRule.values)
    working, why_not = _cubic(small_end_in, large_end_in, length_ft)
    return LogScale(
        lines, working.result if working else None, working, why_not, tuple(_notes(length_ft, large_end_in))
    )


def _line(key: str, small_end_in: float, length_ft: float, defect_pct: float, rule: str) -> RuleLine:
    name, on_ticket = str(LogRule(key).label), key == rule
    try:
        working = working_log_scale(RULE_KEYS[LogRule(key)], small_end_in, scaling_length_ft(length_ft))
    except OutsideRange as error:
        return RuleLine(key, name, on_ticket, None, None, None, f"{error}: this rule has no figure for it.")
    return RuleLine(key, name, on_ticket, working.result, net_bf(working.result, defect_pct), working)


def _cubic(small_end_in: float, large_end_in: float | None, length_ft: float) -> tuple[Working | None, str]:
    large_in = large_end_taken_in(small_end_in, large_end_in, length_ft)
    try:
        return working_smalian(small_end_in, large_in, length_ft), ""
    except OutsideRange as error:
        return None, str(error)


def _notes(length_ft: float, large_end_in: float | None) -> list[str]:
    notes = []
    if scaling_length_ft(length_ft) < length_ft - TRIM_SLACK_FT:
        notes.append(f"Scaled at {scaling_length_ft(length_ft):g} ft; what is over counts as trim.")
    if large_end_in is None:
        notes.append("The large end is not measured: the volume takes 1/2 in of taper every 4 ft.")
    return notes

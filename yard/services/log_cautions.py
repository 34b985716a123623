"""What time does to a log that lies: stain, insects and end checks, by its warm days since felling.

The limits are common practice, no source. Cold days do not count: fungi and insects stand still below about
50 °F (common practice, no source), so a log felled in December is as good in March as on the day it fell.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from yard.models import Log, LogState, Yard
from yard.services.weather import NoPlaceError, yard_air
from yard.wood.ranges import OutsideRange
from yard.wood.species import UnknownSpecies, species

WARM_F = 50.0  # °F, mean of a day; common practice, no source
SOON_DAYS, LATE_DAYS = 28, 56  # warm days of a log that keeps well; common practice, no source
LIGHT_SOON_DAYS, LIGHT_LATE_DAYS = 14, 28  # of light sapwood that stains: the same practice
SEALED_LONGER = 1.5  # sealed ends hold stain off half as long again; common practice, no source
OLDEST_DAYS = 730  # farther back the days are not counted: it is late by then in any climate
WARM_MONTHS = range(4, 11)  # April to October, where the yard has no place yet


@dataclass(frozen=True, slots=True)
class LogCaution:
    """How pressing a log is: `level` "soon" or "late", its warm days, what it risks, and why we say so."""

    level: str
    warm_days: int
    limit_days: int
    words: str
    why: str


class WarmDays:
    """Counts the warm days from any day until today, from the yard's own air: two queries for all logs."""

    def __init__(self, yard: Yard, today: date, oldest: date) -> None:
        self.first = max(oldest, today - timedelta(days=OLDEST_DAYS))
        self.today = today
        try:
            warm = yard_air(first=self.first, last=today, yard=yard).temp_f >= WARM_F
            self.basis = f"days with a mean of {WARM_F:g} °F or more at the yard"
        except (NoPlaceError, OutsideRange):
            days = (today - self.first).days + 1
            months = [(self.first + timedelta(days=n)).month for n in range(days)]
            warm = np.isin(months, list(WARM_MONTHS))
            self.basis = "days from April to October; choose the yard's place to count by its own weather"
        self.until = np.concatenate(([0], np.cumsum(warm)))

    def since(self, day: date) -> int:
        """Warm days from `day` to today."""
        index = min(max((day - self.first).days, 0), len(self.until) - 1)
        return int(self.until[-1] - self.until[index])


def log_cautions(logs: Iterable[Log], *, yard: Yard, today: date) -> dict[int, LogCaution]:
    """The cautions of those logs that still lie and are pressed, by log id."""
    lying = [log for log in logs if log.state in (LogState.IN_YARD, LogState.ON_MILL)]
    if not lying:
        return {}
    warm = WarmDays(yard, today, min(_start(log) for log in lying))
    found = {log.pk: _caution(log, warm) for log in lying}
    return {pk: caution for pk, caution in found.items() if caution}


def _start(log: Log) -> date:
    return log.felled_on or log.arrived_on


def _caution(log: Log, warm: WarmDays) -> LogCaution | None:
    light, wood = _stains_early(log.species_key)
    soon, late = (LIGHT_SOON_DAYS, LIGHT_LATE_DAYS) if light else (SOON_DAYS, LATE_DAYS)
    if log.ends_sealed_on:
        soon, late = round(soon * SEALED_LONGER), round(late * SEALED_LONGER)
    days = warm.since(_start(log))
    if days < soon:
        return None
    is_late = days >= late
    since = "felling" if log.felled_on else "arrival (felling day not known: it may be older)"
    risk = "blue or grey stain in the sapwood" if light else "sapwood stain"
    words = (
        f"{days} warm days: expect {risk}, insects under the bark and end checks. Saw it next."
        if is_late
        else f"{days} warm days: saw it soon, before {risk} and insects start."
    )
    why = (
        f"Counted since {since}: {warm.basis}. {wood} is taken as pressed from {soon} warm days, late from "
        f"{late}{', as its ends are sealed' if log.ends_sealed_on else ''}. Common practice, no source."
    )
    return LogCaution("late" if is_late else "soon", days, late if is_late else soon, words, why)


def _stains_early(species_key: str) -> tuple[bool, str]:
    """Whether it is a wood of light sapwood that stains early (our grouping, no source), and its name."""
    try:
        wood = species(species_key)
    except UnknownSpecies:
        return True, species_key
    name = wood.plain_name[0].upper() + wood.plain_name[1:]
    if wood.wood_class == "softwood":
        return not wood.decay_resistance.startswith(("resistant", "very resistant", "old-growth resistant")), name
    slight = wood.decay_resistance.startswith("slight")
    return slight and wood.sawn_from.startswith(("sapwood", "no visible boundary")), name

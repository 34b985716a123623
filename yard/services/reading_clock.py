"""What the times of a sensor's file say of its clock: reset, set back, or silent for a while."""

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from django.utils import timezone

# Our own limits, no source.
RESET_GAP = np.timedelta64(5 * 365, "D")  # no yard's sensor is silent so long and then goes on
GAP = np.timedelta64(6, "h")  # told where it is also many times the usual step
GAP_STEPS = 20


@dataclass(frozen=True, eq=False)
class ClockSays:
    """From when on the times are believed, and what a person should know."""

    believed_from: np.datetime64 | None
    words: tuple[str, ...]


def clock_says(at_utc: np.ndarray) -> ClockSays:
    """Look at a file's times in the order of the file (datetime64, UTC)."""
    words: list[str] = []
    times, counts = np.unique(at_utc, return_counts=True)
    if len(times) < 2:
        return ClockSays(None, ())
    believed_from = _after_a_reset(times, counts)
    if believed_from is not None:
        early = int(counts[times < believed_from].sum())
        words.append(
            f"{_rows(early)} from {_moment(times[0])} on are those of a clock that was reset: left out. "
            "Nobody can tell when they were measured."
        )
        counts, times = counts[times >= believed_from], times[times >= believed_from]
    twice = int((counts - 1).sum())
    if twice:
        words.append(
            f"{_rows(twice)} have a time that was there already: a clock set back, as at the end of summer time, does "
            "that. Of each time the first counts; if the clock follows summer time, say so above."
        )
    return ClockSays(believed_from, (*words, *_gap(times)))


def _after_a_reset(times: np.ndarray, counts: np.ndarray) -> np.datetime64 | None:
    """The first time after years of nothing, where the fewer rows lie before."""
    jumps = np.flatnonzero(np.diff(times) > RESET_GAP)
    if not len(jumps):
        return None
    first = int(jumps[-1]) + 1
    return times[first] if counts[:first].sum() < counts[first:].sum() else None


def _gap(times: np.ndarray) -> tuple[str, ...]:
    """The longest silence."""
    steps = np.diff(times)
    if not len(steps):
        return ()
    longest = int(np.argmax(steps))
    if steps[longest] < GAP or steps[longest] < GAP_STEPS * np.median(steps):
        return ()
    hours = steps[longest] / np.timedelta64(1, "h")
    span = f"{hours / 24:.0f} days" if hours >= 72 else f"{hours:.0f} h"
    others = int(((steps >= GAP) & (steps >= GAP_STEPS * np.median(steps))).sum()) - 1
    more = f"; and {others} shorter gaps" if others > 1 else "; and one shorter gap" if others else ""
    return (f"Nothing between {_moment(times[longest])} and {_moment(times[longest + 1])}, {span}{more}.",)


def _moment(at: np.datetime64) -> str:
    when: datetime = at.astype("datetime64[s]").item().replace(tzinfo=UTC)
    return f"{timezone.localtime(when):%Y-%m-%d %H:%M}"


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count:,} rows"

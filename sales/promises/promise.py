"""A promise from a simulation: two dates, what holds it up, and what would bring it forward, in words with numbers."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np

from sales.promises.simulate import MEMBERS, PICK_DAYS, KilnLine, Lot, Simulated, simulate

NINE_IN_TEN, MIDDLE = 0.9, 0.5
STAGES = {
    "air": "drying outdoors", "queue": "waiting for the kiln", "run": "the kiln run",
    "after": "heating and rest", "pick": "picking",
}  # fmt: skip
LEAST_DAYS = 1.0  # a gain under a day is not worth a word


@dataclass(frozen=True, slots=True)
class Measure:
    """A measurement that would shorten the interval of a lot's drying by so large a share."""

    lot: str
    words: str
    saved_share: float


@dataclass(frozen=True, slots=True)
class Gain:
    """Something that would bring the promise forward by so many days."""

    words: str
    days: float


@dataclass(frozen=True, slots=True)
class Promise:
    """Two dates with their reasons; a date is None where no date holds so often.

    `stages` days of the lot that is last, in the middle case; `spread_shares` how much of the time between the two
    dates would go if a cause were certain.
    """

    made_on: date
    nine_in_ten: date | None
    middle: date | None
    last: str
    stages: Mapping[str, float]
    spread_shares: Mapping[str, float]
    holds_up: str
    gains: tuple[Gain, ...] = field(default=())


def promise(
    lots: Sequence[Lot],
    kilns: Sequence[KilnLine] = (),
    *,
    today: date,
    measures: Sequence[Measure] = (),
    pick_days: float = PICK_DAYS,
    seed: int = 0,
    members: int = MEMBERS,
) -> Promise:
    """Return the promise for an order of these lots: ready on a day means at its end, so dates are rounded up.

    Errors: ValueError as `simulate`.

    >>> promise([Lot("a", "dry oak")], today=date(2026, 3, 2)).nine_in_ten.isoformat()
    '2026-03-04'
    """
    asked = _Asked(tuple(lots), tuple(kilns), pick_days, seed, members)
    found = asked.simulated()
    safe, middle = found.days_at(NINE_IN_TEN), found.days_at(MIDDLE)
    last = found.last()
    stages = _stages(found, last, asked)
    shares = _spread_shares(asked, safe - middle) if math.isfinite(safe) else {}
    return Promise(
        today, day_after(today, safe), day_after(today, middle), asked.named(last), stages, shares,
        _holds_up(asked.named(last), stages, shares, safe, found.share_ever()),
        tuple(_gains(asked, measures, safe)),
    )  # fmt: skip


def day_after(today: date, days: float) -> date | None:
    """The day at whose end so many days have passed; None for never.

    >>> day_after(date(2026, 3, 2), 1.2).isoformat(), day_after(date(2026, 3, 2), math.inf)
    ('2026-03-04', None)
    """
    return today + timedelta(days=math.ceil(round(days, 6))) if math.isfinite(days) else None


@dataclass(frozen=True)
class _Asked:
    lots: tuple[Lot, ...]
    kilns: tuple[KilnLine, ...]
    pick_days: float
    seed: int
    members: int

    def simulated(self, still: frozenset[str] = frozenset()) -> Simulated:
        return simulate(
            self.lots, self.kilns, pick_days=self.pick_days, seed=self.seed, members=self.members, still=still
        )

    def named(self, key: str) -> str:
        return next(lot.name for lot in self.lots if lot.key == key)

    def with_measure(self, one: Measure) -> "_Asked":
        lots = tuple(
            replace(lot, air=lot.air.narrowed(one.saved_share)) if lot.key == one.lot and lot.air else lot
            for lot in self.lots
        )
        return replace(self, lots=lots)

    def with_next_charge(self, kiln: KilnLine) -> "_Asked | None":
        """Our wood goes before every planned run; None where it does already."""
        ours = {lot.charge for lot in self.lots if lot.charge}
        running = [one for one in kiln.charges if one.running]
        own = [replace(one, starts_in_days=0.0) for one in kiln.charges if one.key in ours and not one.running]
        others = [one for one in kiln.charges if one.key not in ours and not one.running]
        line = (*running, *own, *others)
        if not own or [one.key for one in line] == [one.key for one in kiln.charges]:
            return None
        kilns = tuple(replace(kiln, charges=line) if one.key == kiln.key else one for one in self.kilns)
        return replace(self, kilns=kilns)


def _stages(found: Simulated, last: str, asked: _Asked) -> dict[str, float]:
    lot = next(one for one in asked.lots if one.key == last)
    days = found.lots[last]
    air, begins, out = (float(np.median(one)) for one in (days.air, days.begins, days.out))
    stages = {"air": air, "after": lot.after_days, "pick": asked.pick_days}
    if lot.charge:
        stages |= {"queue": max(0.0, begins - air), "run": out - max(begins, 0.0)}
    return {name: stages[name] for name in STAGES if stages.get(name)}


def _spread_shares(asked: _Asked, whole: float) -> dict[str, float]:
    """How much of the days between the middle and the nine-in-ten date each cause makes."""
    if whole < LEAST_DAYS:
        return {}
    shares = {}
    for cause in ("air", "queue", "run"):
        found = asked.simulated(frozenset({cause}))
        left = found.days_at(NINE_IN_TEN) - found.days_at(MIDDLE)
        shares[cause] = max(0.0, 1.0 - left / whole)
    return {name: share for name, share in shares.items() if share >= 0.05}


def _holds_up(
    name: str, stages: Mapping[str, float], shares: Mapping[str, float], safe: float, ever: float
) -> str:  # fmt: skip
    if math.isinf(safe):
        return f"No date holds nine times in ten: {name} gets dry enough in only {ever:.0%} of the cases looked at."
    longest = max(stages, key=lambda stage: stages[stage], default="pick")
    words = f"{name}: {STAGES[longest]} takes most of it, about {_days(stages[longest])}."
    if shares:
        widest = max(shares, key=lambda cause: shares[cause])
        words += f" Most of what is uncertain is {STAGES[widest]} ({shares[widest]:.0%} of the margin)."
    return words


def _gains(asked: _Asked, measures: Sequence[Measure], safe: float) -> list[Gain]:
    tried: list[tuple[str, _Asked]] = [(one.words, asked.with_measure(one)) for one in measures]
    for kiln in asked.kilns:
        other = asked.with_next_charge(kiln)
        if other is not None:
            tried.append((f"Put it into the next charge of {kiln.name}, before the runs planned there", other))
    gains = []
    for words, other in tried:
        days = safe - other.simulated().days_at(NINE_IN_TEN)
        if math.isfinite(days) and days >= LEAST_DAYS:
            gains.append(Gain(f"{words}: about {_days(days)} sooner.", days))
    return sorted(gains, key=lambda gain: -gain.days)


def _days(days: float) -> str:
    whole = max(1, round(days))
    return f"{whole} day{'' if whole == 1 else 's'}"

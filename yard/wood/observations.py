"""What people measure on drying wood, each with its spread, and how well a simulated board agrees."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from yard.wood.ranges import OutsideRange, require_range

Reals = NDArray[np.floating[Any]]

WEIGHING_SD = 0.008
# of the ratio of two weights of a sample (DRYING-START)
STACK_WEIGHING_SD = 0.02
# of the ratio of two weights of a whole stack: rain, stickers, scale (DRYING-START)
OVEN_SECTION_SD_PCT = 2.0
PIN_SD_PCT = 2.0
# % MC (DRYING-START)
CONDENSATE_SD = 0.05
# of the water caught (DRYING-START)

PIN_RANGE_PCT = (7.0, 28.0)
# %: a resistance meter reads from about 7% to about fibre saturation. WH-GTR190, AH-188 (from memory)

SLIP_SHARE, SLIP_SPREAD = 0.005, 8.0
# one record in two hundred may be off eight times as far: a slip of the pen must not sink the rest (our choice)
OVEN_SLIP_SHARE = 0.0001
# an oven section is work done with care: rather a wet log than a wrong section (our choice)

RATIO_RANGE = (0.2, 2.0)


class Reading(Protocol):
    """What a run can be asked: one MC [%] a simulated board."""

    def day(self, when: date) -> float:
        """Days since the start."""

    def mean_at(self, day: float) -> Reals:
        """Mean MC [%] of each board."""

    def local_at(self, depth_in: float, day: float) -> Reals:
        """MC [%] of each board at a depth under the face."""


@dataclass(frozen=True, slots=True)
class WeighingRatio:
    """A sample weighed again: its weight over its own weight on `reference_on`."""

    on: date
    reference_on: date
    ratio: float
    sample: str = ""
    sd: float = WEIGHING_SD

    def __post_init__(self) -> None:
        require_range("ratio of two weights of a sample", self.ratio, *RATIO_RANGE)

    @property
    def dates(self) -> tuple[date, ...]:
        return (self.reference_on, self.on)

    @property
    def value(self) -> float:
        return self.ratio

    @property
    def spread(self) -> float:
        return self.sd * self.ratio

    def unusable(self) -> str:
        """Why it carries no weight, or nothing."""
        return "" if self.on != self.reference_on else "a first weighing alone says nothing about moisture"

    def expected(self, run: Reading) -> Reals:
        """What each simulated board would have given."""
        later, first = run.mean_at(run.day(self.on)), run.mean_at(run.day(self.reference_on))
        return (100.0 + later) / (100.0 + first)

    def log_likelihood(self, expected: Reals) -> Reals:
        return robust_log_likelihood(expected, self.value, self.spread)

    def __str__(self) -> str:
        name = f"sample {self.sample}" if self.sample else "the sample"
        return f"weighing of {name} on {_day(self.on)}"


def weighing_ratio(*, first_on: date, first_lb: float, on: date, weight_lb: float, sample: str = "") -> WeighingRatio:
    """Return a WeighingRatio from two weights [lb] of one sample.

    >>> weighing_ratio(first_on=date(2025, 4, 1), first_lb=12.0, on=date(2025, 5, 1), weight_lb=10.2).ratio
    0.85
    """
    require_range("weight", first_lb, 1e-6, None, "lb")
    require_range("weight", weight_lb, 1e-6, None, "lb")
    return WeighingRatio(on, first_on, round(weight_lb / first_lb, 9), sample)


@dataclass(frozen=True, slots=True)
class StackWeighing(WeighingRatio):
    """A whole stack weighed again: its weight over its own weight on `reference_on`."""

    sd: float = STACK_WEIGHING_SD

    def __str__(self) -> str:
        return f"weighing of the whole stack on {_day(self.on)}"


@dataclass(frozen=True, slots=True)
class OvenSection:
    """A section cut and dried in an oven: the mean MC [%] of the board that day."""

    on: date
    mc_pct: float
    sd_pct: float = OVEN_SECTION_SD_PCT

    def __post_init__(self) -> None:
        require_range("MC of an oven-dried section", self.mc_pct, 0.0, 300.0, "%")

    @property
    def dates(self) -> tuple[date, ...]:
        return (self.on,)

    @property
    def value(self) -> float:
        return self.mc_pct

    @property
    def spread(self) -> float:
        return self.sd_pct

    def unusable(self) -> str:
        return ""

    def expected(self, run: Reading) -> Reals:
        return run.mean_at(run.day(self.on))

    def log_likelihood(self, expected: Reals) -> Reals:
        return robust_log_likelihood(expected, self.value, self.spread, OVEN_SLIP_SHARE)

    def __str__(self) -> str:
        return f"oven section of {_day(self.on)}"


@dataclass(frozen=True, slots=True)
class PinReading:
    """A resistance meter with pins at a depth under the face [in]: the MC [%] there, corrected."""

    on: date
    depth_in: float
    mc_pct: float
    sd_pct: float = PIN_SD_PCT

    def __post_init__(self) -> None:
        require_range("depth of the pins", self.depth_in, 0.0, 3.0, "in")
        require_range("meter reading", self.mc_pct, 0.0, 300.0, "%")

    @property
    def dates(self) -> tuple[date, ...]:
        return (self.on,)

    @property
    def value(self) -> float:
        return self.mc_pct

    @property
    def spread(self) -> float:
        return self.sd_pct

    def unusable(self) -> str:
        low, high = PIN_RANGE_PCT
        if low <= self.mc_pct <= high:
            return ""
        return f"a pin meter reads true from {low:g} to {high:g}%: {self.mc_pct:g}% is kept but not used"

    def expected(self, run: Reading) -> Reals:
        return run.local_at(self.depth_in, run.day(self.on))

    def log_likelihood(self, expected: Reals) -> Reals:
        return robust_log_likelihood(expected, self.value, self.spread)

    def __str__(self) -> str:
        return f"meter reading of {_day(self.on)}, {self.depth_in:g} in deep"


@dataclass(frozen=True, slots=True)
class CondensateCaught:
    """Water caught from a kiln between two dates: the wood lost at least that much."""

    since: date
    on: date
    water_lb: float
    oven_dry_lb: float
    sd: float = CONDENSATE_SD

    def __post_init__(self) -> None:
        require_range("water caught", self.water_lb, 0.0, None, "lb")
        require_range("oven-dry weight of the load", self.oven_dry_lb, 1e-6, None, "lb")

    @property
    def dates(self) -> tuple[date, ...]:
        return (self.since, self.on)

    @property
    def value(self) -> float:
        """The least loss of MC [%]."""
        return 100.0 * self.water_lb / self.oven_dry_lb

    @property
    def spread(self) -> float:
        return max(0.3, self.sd * self.value)

    def unusable(self) -> str:
        return "" if self.value > 0 else "no water caught"

    def expected(self, run: Reading) -> Reals:
        return run.mean_at(run.day(self.since)) - run.mean_at(run.day(self.on))

    def log_likelihood(self, expected: Reals) -> Reals:
        """A lower bound: boards that lost more than was caught all agree equally."""
        short = np.maximum(self.value - expected, 0.0)
        return robust_log_likelihood(short, 0.0, self.spread)

    def __str__(self) -> str:
        return f"water caught up to {_day(self.on)}"


Observation = WeighingRatio | StackWeighing | OvenSection | PinReading | CondensateCaught


def robust_log_likelihood(
    expected: Reals, value: float, spread: float, slip_share: float = SLIP_SHARE
) -> Reals:
    """Return the log-likelihood of a normal error with a small share of far larger ones.

    >>> near, far = robust_log_likelihood(np.array([20.0, 40.0]), 20.0, 2.0)
    >>> bool(near > far > -10.0)
    True
    """
    square = ((np.asarray(expected, dtype=np.float64) - value) / spread) ** 2
    near = np.log(1.0 - slip_share) - 0.5 * square
    far = np.log(slip_share / SLIP_SPREAD) - 0.5 * square / SLIP_SPREAD**2
    return np.asarray(np.logaddexp(near, far))


def days_between(start: date, when: date) -> float:
    """Return the days from the start date to a date, or to a moment with its hour.

    >>> days_between(date(2025, 1, 1), datetime(2025, 1, 2, 12))
    1.5
    """
    whole = float((_date(when) - _date(start)).days)
    return whole + (_hour(when) - _hour(start)) / 24.0


def _date(when: date) -> date:
    return when.date() if isinstance(when, datetime) else when


def _hour(when: date) -> float:
    return when.hour + when.minute / 60.0 if isinstance(when, datetime) else 0.0


def _day(when: date) -> str:
    return f"{when.day} {when:%b %Y}"


def usable(
    observations: tuple[Observation, ...], start: date, days: float
) -> tuple[list[Observation], list[tuple[Observation, str]]]:
    """Return the observations that carry weight, and the others with the reason.

    >>> cut = (OvenSection(date(2025, 5, 1), 40.0), OvenSection(date(2025, 9, 1), 30.0))
    >>> kept, left = usable(cut, date(2025, 4, 1), 60.0)
    >>> [one.mc_pct for one in kept], [(one.mc_pct, why) for one, why in left]
    ([40.0], [(30.0, 'dated after the air history ends')])
    """
    kept: list[Observation] = []
    left: list[tuple[Observation, str]] = []
    for one in observations:
        why = one.unusable()
        if not why and max(days_between(start, when) for when in one.dates) > days + 1.0:
            why = "dated after the air history ends"
        if not why and min(days_between(start, when) for when in one.dates) < -31.0:
            why = "dated over a month before the start"
        (kept.append(one) if not why else left.append((one, why)))
    return kept, left


__all__ = [
    "CondensateCaught", "Observation", "OutsideRange", "OvenSection", "PinReading", "Reading", "StackWeighing",
    "WeighingRatio", "days_between", "robust_log_likelihood", "usable", "weighing_ratio",
]  # fmt: skip

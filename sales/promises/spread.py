"""Days of which only a low, a middle and a high figure are known, and chance that is the same for one cause."""

import math
import zlib
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

Z80 = NormalDist().inv_cdf(0.9)
# standard deviations that leave one in ten outside on each side


@dataclass(frozen=True, slots=True)
class Spread:
    """Days with their 80% interval; infinite where nothing says that it will ever be.

    >>> Spread(5.0, 8.0, 14.0).at(np.array([-Z80, 0.0, Z80])).round(6).tolist()
    [5.0, 8.0, 14.0]
    """

    low_days: float
    mid_days: float
    high_days: float

    def __post_init__(self) -> None:
        if not self.low_days <= self.mid_days <= self.high_days:
            raise ValueError("days must run from low over middle to high")

    @classmethod
    def around(cls, mid_days: float, *others_days: float) -> "Spread":
        """A spread of cases that may come in any order: fast wood held to the safe rate may take longer than usual.

        >>> Spread.around(8.0, 8.5, 14.0)
        Spread(low_days=8.0, mid_days=8.0, high_days=14.0)
        """
        return cls(min(mid_days, *others_days), mid_days, max(mid_days, *others_days))

    def at(self, z: Floats) -> Floats:
        """Days at standard normal chances: each half of the interval is spread as a normal of its own, never under 0.

        Source: split normal distribution (standard mathematics).
        """
        if math.isinf(self.mid_days):
            return np.where(z <= -Z80, self.low_days, math.inf)
        below = self.mid_days + np.minimum(z, 0.0) / Z80 * (self.mid_days - self.low_days)
        if math.isinf(self.high_days):
            # The high end lies past the horizon: up to half way there the low half is mirrored, beyond it is never.
            near = np.maximum(below + np.maximum(z, 0.0) / Z80 * (self.mid_days - self.low_days), 0.0)
            return np.where(z > Z80 / 2, math.inf, near)
        days: Floats = np.maximum(below + np.maximum(z, 0.0) / Z80 * (self.high_days - self.mid_days), 0.0)
        return days

    def at_least(self, z: Floats, gone_days: float) -> Floats:
        """Days at these chances of what has lasted `gone_days` already and is not over.

        What has lasted longer than nearly all is taken as about to end.
        Source: quantiles of a distribution cut off below (standard mathematics).
        """
        table = _table()
        over = float(np.interp(gone_days, *_rising(self.at(table.z), table.share))) if gone_days > 0 else 0.0
        share = np.interp(z, table.z, table.share)
        cut = np.interp(np.minimum(over, 0.999) + (1.0 - min(over, 0.999)) * share, table.share, table.z)
        left: Floats = np.maximum(self.at(cut), gone_days)
        return left

    def narrowed(self, saved_share: float) -> "Spread":
        """The same middle with an interval shorter by so large a share, as a measurement would make it.

        >>> Spread(5.0, 8.0, 14.0).narrowed(0.5)
        Spread(low_days=6.5, mid_days=8.0, high_days=11.0)
        """
        kept = 1.0 - saved_share
        if math.isinf(self.high_days):
            return self
        low, high = self.mid_days - self.low_days, self.high_days - self.mid_days
        return Spread(self.mid_days - kept * low, self.mid_days, self.mid_days + kept * high)


def chance(cause: str, members: int, seed: int) -> Floats:
    """Standard normal chances of one cause, one a member: the same cause and seed give the same chances.

    Evenly filled (each of `members` equal slices of the normal holds one), in an order of the cause's own.

    >>> z = chance("a", 1000, 1)
    >>> bool(abs(z.mean()) < 1e-9), bool((z == chance("a", 1000, 1)).all()), bool((z == chance("b", 1000, 1)).all())
    (True, True, False)
    """
    random = np.random.default_rng([seed, zlib.crc32(cause.encode())])
    return random.permutation(_even(members))


def mixed(*parts: tuple[float, Floats]) -> Floats:
    """A standard normal chance made of independent ones, each with its share of the variance; shares sum to 1."""
    total = sum(share for share, _ in parts)
    if not math.isclose(total, 1.0):
        raise ValueError("shares must sum to 1")
    blend: Floats = np.sum([math.sqrt(share) * z for share, z in parts], axis=0)
    return blend


@cache
def _even(members: int) -> Floats:
    normal = NormalDist()
    return np.array([normal.inv_cdf((one + 0.5) / members) for one in range(members)])


@dataclass(frozen=True, eq=False)
class _Table:
    z: Floats
    share: Floats


@cache
def _table() -> _Table:
    normal, z = NormalDist(), np.linspace(-4.0, 4.0, 801)
    return _Table(z, np.array([normal.cdf(one) for one in z]))


def _rising(days: Floats, share: Floats) -> tuple[Floats, Floats]:
    """Finite days in rising order with the share of cases that take no longer, for interpolation."""
    finite = np.isfinite(days)
    values, index = np.unique(days[finite][::-1], return_index=True)
    return values, share[finite][::-1][index]

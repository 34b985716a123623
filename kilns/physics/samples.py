"""Kiln samples: what they weigh says how wet they are, and the wettest half decides."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from yard.wood.moisture import MC_HIGHEST_PCT, sample_mc_pct
from yard.wood.ranges import OutsideRange, require_range
from yard.wood.safe_rate import SafeRate, loss_pct_per_day, safe_rate
from yard.wood.species import Species

FEWEST_SAMPLES = 4
# samples a charge (AH-188 ch. 6, from memory, medium)


@dataclass(frozen=True, slots=True)
class KilnSample:
    """A sample board: its weight when the sections were cut off, their moisture contents, its weight now [lb]."""

    name: str
    first_lb: float
    section_mcs_pct: tuple[float, ...]
    now_lb: float

    @property
    def mc_pct(self) -> float:
        """Its moisture content now [%].

        Source: WENGERT-OAK step 3B. Check: AH-188's board of 4.46 lb at 92.4% that now weighs 4.14 lb (the
        book rounds the oven-dry weight first and prints 78.4%, from memory).

        >>> round(KilnSample("A", 4.46, (92.4,), 4.14).mc_pct, 1)
        78.6
        """
        return sample_mc_pct(self.now_lb, self.first_lb, self.section_mcs_pct)


@dataclass(frozen=True, slots=True)
class SampleReading:
    """What a round of samples says: the mean of the wettest half decides; wettest and driest bound the lot [%]."""

    controlling_mc_pct: float
    mean_mc_pct: float
    wettest_mc_pct: float
    driest_mc_pct: float
    count: int
    notes: tuple[str, ...] = ()

    @property
    def spread_pct(self) -> float:
        """Wettest less driest [% MC]."""
        return self.wettest_mc_pct - self.driest_mc_pct


def wettest_half(mcs_pct: Sequence[float]) -> tuple[float, ...]:
    """Return the wetter half of the samples, wettest first; of an odd number the larger half.

    Parameters: `mcs_pct` [%], one or more of 0 to 400. Returns [%]. Raises OutsideRange.
    Source: AH-188 ch. 7 and 9, from memory (high); the larger half of an odd number is our own choice.
    Check: of four samples the two wettest.

    >>> wettest_half([40.0, 55.0, 48.0, 52.0])
    (55.0, 52.0)
    """
    if not mcs_pct:
        raise OutsideRange("number of samples", 0, 1, None, "", "Weigh at least one sample")
    for content in mcs_pct:
        require_range("sample moisture content", content, 0.0, MC_HIGHEST_PCT, "%")
    ordered = sorted(mcs_pct, reverse=True)
    return tuple(ordered[: math.ceil(len(ordered) / 2)])


def controlling_mc_pct(mcs_pct: Sequence[float]) -> float:
    """Return the moisture content that decides the step: the mean of the wettest half of the samples.

    Parameters, errors and source: as `wettest_half`. Returns [%].

    >>> controlling_mc_pct([40.0, 55.0, 48.0, 52.0])
    53.5
    """
    wet = wettest_half(mcs_pct)
    return math.fsum(wet) / len(wet)


def read_samples(mcs_pct: Sequence[float]) -> SampleReading:
    """Return everything that a round of sample moisture contents says.

    Parameters, errors and source: as `wettest_half`; fewer than four samples are noted (AH-188, memory medium).

    >>> reading = read_samples([40.0, 55.0, 48.0])
    >>> reading.controlling_mc_pct, reading.spread_pct, reading.notes
    (51.5, 15.0, ('Fewer than 4 samples: the lot may be wetter than they say',))
    """
    deciding = controlling_mc_pct(mcs_pct)
    few = len(mcs_pct) < FEWEST_SAMPLES
    notes = (f"Fewer than {FEWEST_SAMPLES} samples: the lot may be wetter than they say",) if few else ()
    mean = math.fsum(mcs_pct) / len(mcs_pct)
    return SampleReading(deciding, mean, max(mcs_pct), min(mcs_pct), len(mcs_pct), notes)


@dataclass(frozen=True, slots=True)
class RateReading:
    """How fast a sample dried against the most that its wood may lose [% MC a day]."""

    pct_per_day: float
    limit: SafeRate

    @property
    def share(self) -> float:
        """The rate as a share of the limit; above 1 it dries too fast."""
        return self.pct_per_day / self.limit.pct_per_day

    @property
    def too_fast(self) -> bool:
        """Whether the rate is above the limit."""
        return self.pct_per_day > self.limit.pct_per_day


def drying_rate(
    species: str | Species, thickness_in: float, from_mc_pct: float, to_mc_pct: float, days: float
) -> RateReading:
    """Return how fast a sample dried between two weighings, against the safe rate of its wood.

    Parameters: `species` key or Species; `thickness_in` nominal [in], 0.5 to 4; `from_mc_pct` and `to_mc_pct`
    [%], 0 to 400; `days` between, 0.01 to 10,000. Raises UnknownSpecies, OutsideRange.
    Source: `yard.wood.safe_rate` (FPL-GTR-118, WENGERT-COLUMN). Check: 4/4 red oak at most 3.8% a day (read).

    >>> drying_rate("oak-northern-red", 1, 60, 50, 2).too_fast
    True
    """
    rate = loss_pct_per_day(from_mc_pct, to_mc_pct, days)
    return RateReading(rate, safe_rate(species, thickness_in))

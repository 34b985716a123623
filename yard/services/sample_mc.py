"""What a sample's own weights say: its oven-dry weight from a section cut beside it, and its MC at any weight."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from yard.models import OvenSection, Sample
from yard.wood import moisture
from yard.wood.ranges import OutsideRange
from yard.wood.units import KG_PER_LB
from yard.wood.working import Working
from yard.wood.working_moisture import working_mc, working_oven_dry

UNIT_LB = {"lb": 1.0, "oz": 1 / 16, "kg": 1 / KG_PER_LB, "g": 0.001 / KG_PER_LB}
FIGURES_AT_LEAST = 3  # significant figures of an oven-dry weight, as AH-188 writes it: 2.32 lb


@dataclass(frozen=True, slots=True)
class SampleDryWeight:
    """A sample's calculated oven-dry weight, from its weight on the day on which sections were cut from it.

    It is rounded to the last place of the scale that weighed the sample and worked with as rounded, as AH-188
    does, so that what a page shows can be worked out again from what it shows.
    """

    oven_dry_lb: float
    sample_lb: float
    section_mcs_pct: tuple[float, ...]
    cut_at: datetime
    working: Working

    def mc_pct(self, weight_lb: float) -> float | None:
        """The sample's MC at a weight [%]; None for one that is lighter than its oven-dry weight."""
        try:
            return moisture.mc_pct(weight_lb, self.oven_dry_lb)
        except OutsideRange:
            return None

    def working_mc(self, weight_lb: float) -> Working | None:
        """That MC opened up."""
        try:
            return working_mc(round(weight_lb, 4), self.oven_dry_lb)
        except OutsideRange:
            return None


def sample_dry_weight(sample: Sample, sections: Sequence[OvenSection] | None = None) -> SampleDryWeight | None:
    """The oven-dry weight of a sample by its newest sections that were cut with the sample weighed; else None.

    `sections` spares the query: standing ones of this sample, in the order of time.
    """
    if sections is None:
        sections = list(sample.oven_sections.standing().order_by("cut_at", "id"))
    weighed = [one for one in sections if one.sample_weight_lb]
    if not weighed:
        return None
    newest = weighed[-1]
    day = timezone.localdate(newest.cut_at)
    mcs = tuple(round(one.mc_pct, 1) for one in weighed if timezone.localdate(one.cut_at) == day)
    exact_lb = moisture.sample_oven_dry_lb(newest.sample_weight_lb, mcs)
    rounded_lb = rounded_like(exact_lb, newest.typed_value, newest.typed_unit)
    working = working_oven_dry(round(newest.sample_weight_lb, 4), mcs)
    return SampleDryWeight(rounded_lb, newest.sample_weight_lb, mcs, newest.cut_at, working)


def rounded_like(weight_lb: float, typed_value: str, typed_unit: str) -> float:
    """A weight [lb] rounded to the last place of a weight as typed, to three significant figures at the least.

    >>> rounded_like(2.3181, "4.46", "lb"), rounded_like(7.2765, "14", "lb")
    (2.32, 7.28)
    """
    unit_lb = UNIT_LB.get(typed_unit, 1.0)
    value = weight_lb / unit_lb
    digits = typed_value.replace(",", ".").partition(".")[2]
    places = len(digits) if digits.isdigit() else 0
    if value > 0:
        places = max(places, FIGURES_AT_LEAST - 1 - math.floor(math.log10(value)))
    return round(value, places) * unit_lb

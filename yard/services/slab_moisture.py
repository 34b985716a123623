"""How wet a slab is today, as far as is known: its cohort's stored estimate, or what was measured when it was dry."""

from dataclasses import dataclass
from datetime import date

from yard.models import Slab


@dataclass(frozen=True, slots=True)
class MoistureNow:
    """A slab's MC with an interval when it is estimated; a measured one has none."""

    value_pct: float
    low_pct: float | None
    high_pct: float | None
    as_of: date | None
    measured: bool

    @property
    def how(self) -> str:
        """In a word where the figure comes from."""
        return "measured when dry" if self.measured else "estimated"


def moisture_now(slab: Slab) -> MoistureNow | None:
    """What is known; None for loose green wood and for a cohort that has no estimate yet.

    Needs `cohort__estimate` selected with the slab. The estimate counts only while the slab is in the stack: of
    wood that has left it nobody knows the air.
    """
    if slab.stack_id is None or slab.cohort is None:
        if slab.dry_mc_pct is None:
            return None
        return MoistureNow(slab.dry_mc_pct, None, None, slab.dry_on, True)
    estimate = slab.cohort.estimate
    if estimate is None:
        return None
    return MoistureNow(estimate.mean_pct, estimate.mean_low_pct, estimate.mean_high_pct, estimate.as_of, False)

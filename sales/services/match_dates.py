"""When wood that still dries will be ready, cohort by cohort, for a list: no model is run, only its stored dates."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sales.promises.promise import MIDDLE, NINE_IN_TEN, day_after
from sales.promises.simulate import simulate
from sales.services.footage import DRY_MC_PCT
from sales.services.promise_wood import StackWood, queues_of, targets_of, usual_run_days, wood_planned
from yard.models import Cohort
from yard.services.yard_settings import the_yard

MEMBERS = 1024


@dataclass(frozen=True, slots=True)
class Dates:
    """The date that holds nine times in ten and the middle one; None where none does."""

    safe: date | None
    middle: date | None
    mc_pct: float | None

    @property
    def words(self) -> str:
        now = "" if self.mc_pct is None else f"drying, about {self.mc_pct:.0f}% now; "
        if self.safe is None:
            return f"{now}no date holds nine times in ten"
        return f"{now}ready by {_day(self.safe)} nine times in ten, as likely as not by {_day(self.middle)}"


def cohort_dates(cohorts: Iterable[Cohort], target_pct: float | None, today: date) -> dict[int, Dates]:
    """Dates of each cohort as if it alone were wanted: queries for targets and kilns, whatever their number.

    A kiln run is taken as long as the kiln's runs usually are; the promise of an order works it out.
    """
    known = sorted((one for one in cohorts if one.estimate is not None), key=lambda one: one.pk)
    if not known:
        return {}
    targets, queues = targets_of(known), queues_of(today)
    target = target_pct or the_yard().dry_target_pct or DRY_MC_PCT
    found = {}
    for cohort in known:
        planned = wood_planned(
            [StackWood(cohort, 1.0)], dry_pieces=0, target_pct=target, today=today, queues=queues, targets=targets,
            run_days=usual_run_days,
        )  # fmt: skip
        run = simulate(planned.lots, planned.kilns, members=MEMBERS, seed=cohort.pk)
        safe, middle = (day_after(today, run.days_at(share)) for share in (NINE_IN_TEN, MIDDLE))
        found[cohort.pk] = Dates(safe, middle, cohort.estimate.mean_pct)
    return found


def _day(day: date | None) -> str:
    return f"{day.day} {day:%b %Y}" if day else "never"

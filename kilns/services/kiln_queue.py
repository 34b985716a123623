"""What keeps each kiln busy from now on: running and planned runs with expected starts and days, for promises.

`kiln_queue()` lists the kilns; `KilnQueue.free_from(today, 0.9)` is the day on which one is free nine times in ten,
as far as the days are known.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import NormalDist, median

from django.utils import timezone

from kilns.models import Kiln, Run, RunState
from kilns.services.stack_fits import BOARDS_FILL, LIVE_EDGE_FILL, fit_of

USUAL_DAYS = (15.0, 30.0, 60.0)
# days of a run of which nothing is known, low to high (common practice, no source)
CHANGE_OVER_DAYS = 2.0
# days to unload and load (common practice, no source)
_Z80 = NormalDist().inv_cdf(0.9)


@dataclass(frozen=True)
class QueuedRun:
    """A run that is going on or planned.

    `start_on` is when it began, or is expected to begin, never before the run in front of it is expected out.
    `days_low`, `days_mid`, `days_high` count from the start until the wood comes out: an 80% interval, with warming
    up, equalising and cooling in it; `guessed` when it was never worked out. `stack_ids` are the stacks of its
    charge, `charge_bf` their green footage when it was planned (0 where nobody said).
    """

    run_id: int
    name: str
    running: bool
    start_on: date
    days_low: float
    days_mid: float
    days_high: float
    guessed: bool
    charge_bf: float
    stack_ids: tuple[int, ...]

    @property
    def end_on(self) -> date:
        """The day on which it is expected to come out."""
        return self.start_on + timedelta(days=self.days_mid)

    def days_at(self, share: float) -> float:
        """Days that are enough in so large a share of cases; the halves of the interval are spread as two normals.

        >>> run = QueuedRun(1, "", True, date(2026, 3, 2), 8, 10, 16, False, 0, ())
        >>> [round(run.days_at(share)) for share in (0.1, 0.5, 0.9)]
        [8, 10, 16]
        """
        z = NormalDist().inv_cdf(min(max(share, 0.001), 0.999)) / _Z80
        side = self.days_high - self.days_mid if z > 0 else self.days_mid - self.days_low
        return max(0.0, self.days_mid + z * side)


@dataclass(frozen=True)
class KilnQueue:
    """A kiln in use with its runs in the order in which they come, and its capacity in board feet by thickness."""

    kiln_id: int
    name: str
    hottest_f: float
    usual_days: tuple[float, float, float]
    runs: tuple[QueuedRun, ...]
    kiln: Kiln

    def capacity_bf(self, nominal_in: float, *, live_edge: bool = True) -> float:
        """Green board feet of the largest stack of a nominal thickness [in]. Errors: OutsideRange: it takes none."""
        return fit_of(self.kiln, nominal_in, LIVE_EDGE_FILL if live_edge else BOARDS_FILL).board_feet_bf

    def free_from(self, today: date, share: float = 0.5) -> date:
        """The day on which the last of its runs is out, in so large a share of cases; today when it is idle."""
        free = today
        for run in self.runs:
            begins = run.start_on if run.running else max(run.start_on, free)
            free = max(today, begins + timedelta(days=run.days_at(share) + CHANGE_OVER_DAYS))
        return free


def kiln_queue(*, today: date | None = None) -> list[KilnQueue]:
    """All kilns in use, by name, each with its running and planned runs: four queries whatever there is.

    Nothing is worked out here: days are those kept with the run's plan, or `USUAL_DAYS` of the kiln's closed runs.
    """
    day = today or timezone.localdate()
    kilns = list(Kiln.objects.filter(closed_on__isnull=True).order_by("name"))
    queued: dict[int, list[Run]] = {}
    rows = Run.objects.queued().filter(kiln__in=kilns).prefetch_related("run_stacks")
    for run in rows:
        queued.setdefault(run.kiln_id, []).append(run)
    gone = _days_of_closed(kilns)
    return [_queue(kiln, queued.get(kiln.pk, []), gone.get(kiln.pk, []), day) for kiln in kilns]


def run_days(plan: dict, usual: tuple[float, float, float] = USUAL_DAYS) -> tuple[float, float, float, bool]:
    """Days from start to end kept in a run's plan: low, middle, high, and whether they are only the usual ones."""
    days = plan.get("days") or {}
    if not days:
        return *usual, True
    more = float(plan.get("extra_days", 0.0))
    return days["low"] + more, days["mid"] + more, days["high"] + more, False


def _queue(kiln: Kiln, runs: list[Run], gone_days: list[float], today: date) -> KilnQueue:
    usual = USUAL_DAYS
    if gone_days:
        middle = median(gone_days)
        usual = (min(gone_days), middle, max(*gone_days, middle * 1.5))
    runs.sort(key=lambda run: (run.state != RunState.RUNNING, run.planned_start_on or date.max, run.pk))
    listed, free = [], today
    for run in runs:
        one = _queued(run, usual, free, today)
        listed.append(one)
        free = max(today, one.end_on + timedelta(days=CHANGE_OVER_DAYS))
    return KilnQueue(kiln.pk, kiln.name, kiln.hottest_f, usual, tuple(listed), kiln)


def _queued(run: Run, usual: tuple[float, float, float], free: date, today: date) -> QueuedRun:
    low, middle, high, guessed = run_days(run.plan, usual)
    running = run.state == RunState.RUNNING
    begins = timezone.localdate(run.started_at) if running else max(run.planned_start_on or free, free, today)
    return QueuedRun(
        run.pk, run.name, running, begins, low, middle, high, guessed, float(run.plan.get("footage_bf", 0.0)),
        tuple(one.stack_id for one in run.run_stacks.all()),
    )  # fmt: skip


def _days_of_closed(kilns: Iterable[Kiln]) -> dict[int, list[float]]:
    """How long the closed runs of each kiln took [days]."""
    found: dict[int, list[float]] = {}
    rows = Run.objects.filter(kiln__in=kilns, state=RunState.CLOSED, started_at__isnull=False, closed_at__isnull=False)
    for kiln_id, began, ended in rows.values_list("kiln_id", "started_at", "closed_at"):
        found.setdefault(kiln_id, []).append((ended - began).total_seconds() / 86_400)
    return found


def kiln_runs(kiln: Kiln) -> list[Run]:
    """What a kiln's page shows of its runs: those that go on and are planned, and the newest that was closed."""
    queued = Run.objects.queued().filter(kiln=kiln).prefetch_related("run_stacks__stack")
    ordered = sorted(queued, key=lambda run: (run.state != RunState.RUNNING, run.planned_start_on or date.max, run.pk))
    last = Run.objects.filter(kiln=kiln, state=RunState.CLOSED).prefetch_related("run_stacks__stack")
    return [*ordered, *last.order_by("-closed_at")[:1]]

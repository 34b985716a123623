"""The promise of an order: worked out when asked for, kept with the quote, later compared with what happened."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from statistics import NormalDist
from typing import Any

from django.db import transaction
from django.utils import timezone

from sales.models import LineKind, Order, OrderLine, OrderState
from sales.promises.promise import Promise, promise
from sales.promises.simulate import PICK_DAYS
from sales.services.footage import DRY_MC_PCT
from sales.services.orders import order_locked, promise_forget
from sales.services.picking import asked_short
from sales.services.promise_wood import (
    Planned,
    StackWood,
    queues_of,
    targets_of,
    wood_name,
    wood_planned,
    worked_run_days,
)
from yard.models import Cohort, Person, SlabState
from yard.services.history import history_add
from yard.services.refused import Refused
from yard.services.yard_settings import the_yard

HELD_SHARE = 0.9


def order_promise(*, by: Person | None, order: Order, today: date | None = None) -> Order:
    """Work out when an inquiry's wood will be ready and keep it: two dates, what holds it up, what it was made from.

    It may take seconds where wood must go through a kiln. Errors: Refused for an order that is past being quoted,
    that has no wood, whose wood is not chosen yet, or of which nothing is known.
    """
    day = today or timezone.localdate()
    if not order.can_change:
        raise Refused(f"Order {order.number} is {order.get_state_display().lower()}: its promise stays as it was made.")
    planned = _planned(order, day)
    found = promise(planned.lots, planned.kilns, today=day, measures=planned.measures, seed=order.pk)
    return _keep(by, order, found, planned)


def order_promise_if_due(*, by: Person | None, order: Order) -> None:
    """Work the promise out before a quote is issued, unless it was today; a quote may go without where it cannot."""
    if order.can_change and order.promise_made_on != timezone.localdate():
        try:
            order_promise(by=by, order=order)
        except Refused:
            _forget(order)


@transaction.atomic
def _forget(order: Order) -> None:
    """A date of another day does not go with today's quote."""
    row = order_locked(order)
    if row.can_change:
        promise_forget(row)
        row.save(update_fields=["promise_made_on", "promise_date", "promise_middle", "promise_because"])


@transaction.atomic
def _keep(by: Person | None, order: Order, found: Promise, planned: Planned) -> Order:
    row = order_locked(order)
    if not row.can_change:
        raise Refused(f"Order {row.number} was quoted meanwhile.")
    row.promise_made_on, row.promise_date, row.promise_middle = found.made_on, found.nine_in_ten, found.middle
    row.promise_because = because(found, planned)
    # Not a change that a person typed: the version stays, so that nobody's open form is turned down for it.
    row.save(update_fields=["promise_made_on", "promise_date", "promise_middle", "promise_because"])
    told = None if found.nine_in_ten is None else found.nine_in_ten.isoformat()
    history_add(row, by=by, action="date worked out", changes={"promise_date": [None, told]}, note=found.holds_up[:200])
    return row


def because(found: Promise, planned: Planned) -> dict[str, Any]:
    """What is kept beside the dates, as plain JSON: reasons in words, days by stage, and what went in."""
    return {
        "holds_up": found.holds_up, "gains": [one.words for one in found.gains], "notes": list(planned.notes),
        "stages": {name: round(days, 1) for name, days in found.stages.items() if days < 1e5},
        "spread_shares": {name: round(share, 2) for name, share in found.spread_shares.items()},
        "lots": [_finite(asdict(lot)) for lot in planned.lots],
        "kilns": [_finite(asdict(kiln)) for kiln in planned.kilns],
    }  # fmt: skip


def _finite(value: Any) -> Any:
    """The same without infinite figures, which JSON does not know: None is never."""
    if isinstance(value, dict):
        return {key: _finite(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_finite(one) for one in value]
    return None if isinstance(value, float) and value == float("inf") else value


def _planned(order: Order, today: date) -> Planned:
    lines = order.lines.standing().select_related("slab__cohort__estimate", "slab__cohort__stack")
    slab_lines = [line for line in lines if line.kind == LineKind.SLAB]
    if short := [words for _, words in asked_short(order)]:
        raise Refused(f"Choose the wood first: {short[0]}.")
    if not slab_lines:
        raise Refused("There is no wood in it to promise.")
    woods, dry = _woods(slab_lines)
    without = [wood_name(one.cohort) for one in woods if one.cohort.estimate is None]
    if without:
        raise Refused(f"{without[0]} has no estimate yet: weigh a sample, or look again when the weather is in.")
    yard = the_yard()
    return wood_planned(
        woods, dry_pieces=dry, target_pct=order.mc_pct or yard.dry_target_pct or DRY_MC_PCT, today=today,
        queues=queues_of(today) if woods else [], targets=targets_of([one.cohort for one in woods]),
        run_days=worked_run_days(yard, today),
    )  # fmt: skip


def _woods(lines: Sequence[OrderLine]) -> tuple[list[StackWood], int]:
    """The wood that dries, by cohort with its board feet, and how many pieces are dry."""
    feet: dict[int, float] = {}
    cohorts: dict[int, Cohort] = {}
    dry = 0
    for line in lines:
        slab = line.slab
        if slab.state == SlabState.DRY:
            dry += 1
        elif slab.stack_id is None or slab.cohort is None:
            raise Refused(f"{slab.tag} lies loose and wet: nothing says when it will be dry. Sticker it first.")
        else:
            cohorts[slab.cohort_id] = slab.cohort
            feet[slab.cohort_id] = feet.get(slab.cohort_id, 0.0) + slab.green_bf
    return [StackWood(cohorts[pk], feet[pk]) for pk in cohorts], dry


@dataclass(frozen=True, slots=True)
class Kept:
    """A promise beside what happened: `held` is None while it is still open.

    A promise is made with the quote: where the buyer said yes later, the day that counts is at least so long after
    the yes as picking takes.
    """

    order: Order
    due: date
    held: bool | None
    days_over: int | None


NEWEST = 200  # promises that the record speaks of: enough to tell 85 from 95 in a hundred, and of today's yard
LISTED = 60


@dataclass(frozen=True, slots=True)
class Record:
    """How the yard's newest promises have held."""

    rows: tuple[Kept, ...]
    ended: int
    held: int
    by_middle: int
    words: str

    @property
    def listed(self) -> tuple[Kept, ...]:
        """The newest of them, for the page."""
        return self.rows[:LISTED]

    @property
    def open(self) -> int:
        return sum(one.held is None for one in self.rows)


def promises_record(*, today: date) -> Record:
    """The newest promises with a nine-in-ten date, but for orders called off: one query."""
    orders = (
        Order.objects.filter(promise_date__isnull=False)
        .exclude(state__in=[OrderState.CANCELLED, OrderState.INQUIRY, OrderState.QUOTED])
        .select_related("buyer").order_by("-promise_made_on", "-id")
    )[:NEWEST]  # fmt: skip
    rows = tuple(_kept(order, today) for order in orders)
    ended = [one for one in rows if one.held is not None]
    held = sum(bool(one.held) for one in ended)
    middle = sum(
        one.order.kept_on is not None and one.order.promise_middle is not None
        and one.order.kept_on <= _due(one.order, one.order.promise_middle) for one in ended
    )  # fmt: skip
    return Record(rows, len(ended), held, middle, record_words(len(ended), held))


def _kept(order: Order, today: date) -> Kept:
    """A promise whose day has passed without the wood being ready is broken, not open."""
    due = _due(order, order.promise_date)
    if order.kept_on is not None:
        return Kept(order, due, order.kept_on <= due, (order.kept_on - due).days)
    late = today > due
    return Kept(order, due, False if late else None, (today - due).days if late else None)


def _due(order: Order, day: date) -> date:
    """The day that counts: as promised, or picking after a yes that came late."""
    return max(day, order.ordered_on + timedelta(days=int(PICK_DAYS))) if order.ordered_on else day


def record_words(ended: int, held: int) -> str:
    """What so many kept promises say, with a word on small numbers.

    Source: the interval of Wilson (1927) for a share, from memory, at 90%.

    >>> record_words(10, 9)
    'Of 10 promises 9 held: 90%. So few leave room: the true share may be anything from 65% to 98%.'
    """
    if not ended:
        return "No promise has come due yet."
    share = held / ended
    low, high = _wilson(ended, held)
    words = f"Of {ended} promise{'' if ended == 1 else 's'} {held} held: {share:.0%}."
    few = f" So few leave room: the true share may be anything from {low:.0%} to {high:.0%}." if ended < 100 else ""
    if high < HELD_SHARE:
        few += " That is under the nine in ten that was promised: something takes longer than the program is told."
    return words + few


def _wilson(ended: int, held: int) -> tuple[float, float]:
    z = NormalDist().inv_cdf(0.95)
    middle = (held + z * z / 2) / (ended + z * z)
    half = z / (ended + z * z) * (held * (ended - held) / ended + z * z / 4) ** 0.5
    return middle - half, middle + half

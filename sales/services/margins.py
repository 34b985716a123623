"""What sold wood cost and what it left: by log, by species, by kiln run. What is not known is said, never filled in.

A log's cost is shared among its pieces by their green board feet, a run's energy among the pieces that were in it by
the same; both shares are common practice, no source. Labour, the mill and the kiln itself are not in it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import F, Q, QuerySet, Sum

from kilns.models import Run, RunState
from sales.services.money import to_cents
from sales.services.sold_wood import BROUGHT, MONEY, Period, SoldGroup, sold_groups, sold_lines
from yard.models import Log, Membership, Slab, SlabState

NO_WOOD = [SlabState.VOID, SlabState.SPLIT]  # the pieces of a split slab stand for it
LOGS_SHOWN, RUNS_SHOWN = 40, 20


@dataclass(slots=True)
class Margin:
    """Sums of one log, species or all.

    Wood whose log has no cost written down is in `unknown_bf` and `unknown_brought`: the margin is over the rest.
    """

    words: str
    log: Log | None = None
    pieces: int = 0
    green_bf: float = 0.0
    brought: Decimal = Decimal(0)
    logs_cost: Decimal = Decimal(0)
    drying_cost: Decimal = Decimal(0)
    unknown_bf: float = 0.0
    unknown_brought: Decimal = Decimal(0)

    @property
    def cost(self) -> Decimal:
        return self.logs_cost + self.drying_cost

    @property
    def margin(self) -> Decimal | None:
        """What the wood of known cost left; None where no cost is known at all."""
        return self.brought - self.unknown_brought - self.cost if self.unknown_bf < self.green_bf else None

    @property
    def margin_pct(self) -> float | None:
        known = self.brought - self.unknown_brought
        return float(self.margin / known * 100) if self.margin is not None and known else None


@dataclass(frozen=True, slots=True)
class RunMargin:
    """A closed run: what its energy cost, how much wood was in it, and what of that is sold so far."""

    run: Run
    bf: float
    ours_sold_bf: float
    brought: Decimal
    cost: Decimal | None

    @property
    def cost_a_bf(self) -> Decimal | None:
        return to_cents(self.cost / Decimal(str(self.bf))) if self.cost is not None and self.bf else None

    @property
    def sold_cost(self) -> Decimal | None:
        """The part of its energy that the wood sold so far carries."""
        share = Decimal(str(self.ours_sold_bf / self.bf)) if self.bf else Decimal(0)
        return to_cents(self.cost * share) if self.cost is not None else None

    @property
    def after_energy(self) -> Decimal:
        return self.brought - (self.sold_cost or Decimal(0))


@dataclass(frozen=True, slots=True)
class Margins:
    """All of a period."""

    whole: Margin
    species: tuple[Margin, ...]
    logs: tuple[Margin, ...]
    logs_in_all: int
    runs_without_cost: int


def margins(period: Period) -> Margins:
    """What was sold in the period, with its costs: five queries, however much wood."""
    groups = sold_groups(period)
    ids = {group.log_id for group in groups if group.log_id}
    sold_slabs, sold_logs = sold_lines(period).values("slab"), sold_lines(period).values("slab__log")
    logs = Log.objects.filter(pk__in=sold_logs).in_bulk()
    whole_bf = dict(
        Slab.objects.filter(log__in=sold_logs).exclude(state__in=NO_WOOD)
        .order_by().values_list("log").annotate(bf=Sum("green_bf"))
    )  # fmt: skip
    drying, without = drying_costs(sold_slabs)
    whole, by_species, by_log = Margin("All of it"), {}, {}
    for group in groups:
        log = logs.get(group.log_id) if group.log_id in ids else None
        cost = _share(log, group, whole_bf)
        energy = drying.get((group.log_id, group.species_key), Decimal(0))
        of_kind = by_species.setdefault(group.species_key, Margin(group.species_key))
        of_log = by_log.setdefault(group.log_id, Margin(log.tag if log else "Bought in as sawn wood", log))
        for one in (whole, of_kind, of_log):
            _add(one, group, cost, energy)
    ranked = sorted(by_log.values(), key=lambda one: -one.brought)
    kinds = tuple(sorted(by_species.values(), key=lambda one: -one.brought))
    return Margins(whole, kinds, tuple(ranked[:LOGS_SHOWN]), len(ranked), without)


def drying_costs(sold_slabs: QuerySet) -> tuple[dict[tuple[int | None, str], Decimal], int]:
    """What kiln runs cost for these slabs, by log and species, and how many of those runs have no cost: two queries."""
    rows = list(
        _in_runs().filter(slab__in=sold_slabs).values("slab__log", "slab__species_key", "stack__in_runs__run")
        .annotate(bf=Sum("slab__green_bf"))
    )  # fmt: skip
    runs = _run_sums({row["stack__in_runs__run"] for row in rows}) if rows else {}
    costs: dict[tuple[int | None, str], Decimal] = {}
    for row in rows:
        cost, bf = runs[row["stack__in_runs__run"]]
        if cost is not None and bf:
            key = (row["slab__log"], row["slab__species_key"])
            costs[key] = costs.get(key, Decimal(0)) + cost * Decimal(str(row["bf"] / bf))
    return {key: to_cents(cost) for key, cost in costs.items()}, sum(cost is None for cost, _ in runs.values())


def run_margins(*, until: date) -> list[RunMargin]:
    """The newest closed runs, with what of their wood is sold by a day: three queries."""
    runs = list(
        Run.objects.filter(state=RunState.CLOSED, closed_at__date__lte=until).select_related("kiln")
        .order_by("-closed_at", "-id")[:RUNS_SHOWN]
    )  # fmt: skip
    sums = _run_sums({run.pk for run in runs}) if runs else {}
    sold = {
        row["slab__memberships__stack__in_runs__run"]: row
        for row in sold_lines(Period(date.min, until))
        .filter(_overlap("slab__memberships__"), slab__memberships__stack__in_runs__run__in=[run.pk for run in runs])
        .values("slab__memberships__stack__in_runs__run")
        .annotate(bf=Sum("slab__green_bf"), brought=Sum(BROUGHT, output_field=MONEY))
    }
    return [_run_margin(run, sums.get(run.pk, (None, 0.0)), sold.get(run.pk)) for run in runs]


def _run_margin(run: Run, summed: tuple[Decimal | None, float], sold: dict | None) -> RunMargin:
    brought = to_cents(Decimal(str(sold["brought"]))) if sold else Decimal(0)
    return RunMargin(run, summed[1], sold["bf"] if sold else 0.0, brought, run.energy_cost)


def _overlap(prefix: str = "") -> Q:
    """A slab was in a stack while that stack's run went on."""
    run = f"{prefix}stack__in_runs__run__"
    return Q(
        **{
            f"{run}state": RunState.CLOSED,
            f"{prefix}since__lt": F(f"{run}closed_at"),
        }
    ) & (Q(**{f"{prefix}until__isnull": True}) | Q(**{f"{prefix}until__gt": F(f"{run}started_at")}))


def _in_runs() -> QuerySet[Membership]:
    return Membership.objects.filter(_overlap()).order_by()


def _run_sums(ids: Sequence[int] | set[int]) -> dict[int, tuple[Decimal | None, float]]:
    """Cost of the energy, and board feet of all wood in it, by run."""
    rows = (
        _in_runs().filter(stack__in_runs__run__in=ids)
        .values_list("stack__in_runs__run", "stack__in_runs__run__energy_cost").annotate(bf=Sum("slab__green_bf"))
    )  # fmt: skip
    return {run: (cost, bf) for run, cost, bf in rows}


def _share(log: Log | None, group: SoldGroup, whole_bf: dict[int, float]) -> Decimal | None:
    """The part of its log's cost that this wood carries; None where no cost is written down."""
    if log is None or log.cost is None or not whole_bf.get(log.pk):
        return None
    return to_cents(log.cost * Decimal(str(group.green_bf / whole_bf[log.pk])))


def _add(one: Margin, group: SoldGroup, cost: Decimal | None, energy: Decimal) -> None:
    one.pieces += group.pieces
    one.green_bf += group.green_bf
    one.brought += group.brought
    if cost is None:
        one.unknown_bf += group.green_bf
        one.unknown_brought += group.brought
    else:
        one.logs_cost += cost
        one.drying_cost += energy

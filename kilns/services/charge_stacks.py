"""Which stacks make a charge for a kiln and why the others do not, in numbers: read from what is stored."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import F

from kilns.models import Kiln, RunStack, RunState
from kilns.services.charge_size import Laid, laid_as_it_stands, laid_in_kiln, why_too_large
from kilns.services.charge_water import WaterNeed, water_need
from kilns.services.charge_wishes import Wish, wishes
from kilns.services.kiln_build import build_of
from yard import quantities
from yard.models import Cohort, Membership, Slab, Yard
from yard.services.ready_list import READY_FROM, SOON_DAYS, Wanted, standing_wood, with_stack_and_estimate
from yard.templatetags.quantities import day, species_name

MOST_LOOKED_AT = 80
# woods of the yard, the readiest first: a page shows no more (our own limit)
DRIER_BY_PCT = 0.5
# % MC over the target that is not worth a charge (our own limit)


@dataclass(frozen=True, slots=True)
class WoodOfStack:
    """One wood of a stack: what an estimate says of it, and when it is ready for the kiln."""

    cohort: Cohort
    footage_bf: float

    @property
    def species_key(self) -> str:
        return self.cohort.species_key

    @property
    def thickness_in(self) -> float:
        return self.cohort.thickness_in

    @property
    def mc_pct(self) -> float:
        return self.cohort.estimate.mean_pct if self.cohort.estimate else 0.0

    @property
    def ready(self) -> bool:
        """More likely than not at the target from which the kiln takes over."""
        return self.cohort.reached_now is not None and self.cohort.reached_now >= READY_FROM


@dataclass(frozen=True)
class Candidate:
    """A stack as a charge or a part of one; `why_not` holds it back, `notes` are to be known."""

    stack_id: int
    tag: str
    bay: str
    woods: tuple[WoodOfStack, ...]
    laid: Laid
    water: WaterNeed | None
    why_not: tuple[str, ...]
    notes: tuple[str, ...]
    wishes: tuple[Wish, ...]

    @property
    def footage_bf(self) -> float:
        """Green footage of all its woods."""
        return sum(one.footage_bf for one in self.woods)

    @property
    def mc_pct(self) -> float:
        """Mean MC of its woods by their footage."""
        return sum(one.mc_pct * one.footage_bf for one in self.woods) / self.footage_bf if self.footage_bf else 0.0

    @property
    def deciding(self) -> WoodOfStack:
        """The wood that dries slowest, as far as thickness says so."""
        return max(self.woods, key=lambda one: (one.thickness_in, one.mc_pct))

    @property
    def ready(self) -> bool:
        """Whether all its woods are ready for the kiln."""
        return all(one.ready for one in self.woods)

    @property
    def wanted_by(self) -> date:
        return min((one.by for one in self.wishes if one.by), default=date.max)


@dataclass(frozen=True)
class Candidates:
    """The stacks that make a charge, the best first, and the rest; `left_out` were not looked at."""

    good: list[Candidate]
    rest: list[Candidate]
    left_out: int


def charge_stacks(kiln: Kiln, *, yard: Yard, today: date) -> Candidates:
    """Look at the yard's standing stacks for a kiln; a fixed number of queries, and no model is run."""
    rows = standing_wood(Wanted())
    order = (F("reached_now").desc(nulls_last=True), F("mid_on").asc(nulls_last=True), "pk")
    ids = list(rows.order_by(*order).values_list("pk", flat=True)[: MOST_LOOKED_AT + 1])
    cohorts = with_stack_and_estimate(ids[:MOST_LOOKED_AT], rows)
    found = candidates_of(kiln, cohorts, yard=yard, today=today)
    good = [one for one in found if not one.why_not]
    good.sort(key=lambda one: (not one.ready, one.wanted_by, -one.footage_bf, one.tag))
    rest = [one for one in found if one.why_not]
    return Candidates(good, rest, max(0, rows.count() - MOST_LOOKED_AT) if len(ids) > MOST_LOOKED_AT else 0)


def candidates_of(kiln: Kiln, cohorts: Sequence[Cohort], *, yard: Yard, today: date) -> list[Candidate]:
    """The candidates that these woods are of; cohorts as `standing_wood` annotates them, with stack and estimate."""
    by_stack: dict[int, list[Cohort]] = {}
    for cohort in cohorts:
        by_stack.setdefault(cohort.stack_id, []).append(cohort)
    lying = _lying(by_stack)
    busy = _in_a_run(by_stack)
    wanted, build = wishes(by_stack), build_of(kiln)
    found = []
    for stack_id, woods in by_stack.items():
        stack, pairs = woods[0].stack, lying.get(stack_id, [])
        told = tuple(WoodOfStack(one, _footage(pairs, one)) for one in woods)
        laid, as_built = laid_in_kiln(kiln, [slab for slab, _ in pairs]), laid_as_it_stands(stack, pairs)
        water = water_need(kiln, build, told, yard)
        why_not = [*_why_not(told, yard, today), *why_too_large(kiln, laid)]
        if stack_id in busy:
            why_not.insert(0, busy[stack_id])
        notes, bay = tuple(_notes(kiln, told, laid, as_built)), stack.bay.name if stack.bay else ""
        some = tuple(wanted.get(stack_id, ()))
        found.append(Candidate(stack_id, stack.tag, bay, told, laid, water, tuple(why_not), notes, some))
    return found


def _lying(by_stack: dict[int, list[Cohort]]) -> dict[int, list[tuple[Slab, int]]]:
    rows = Membership.objects.filter(stack__in=by_stack, until__isnull=True).select_related("slab")
    found: dict[int, list[tuple[Slab, int]]] = {}
    for row in rows.order_by("course", "place", "pk"):
        found.setdefault(row.stack_id, []).append((row.slab, row.course or 1))
    return found


def _in_a_run(by_stack: dict[int, list[Cohort]]) -> dict[int, str]:
    rows = RunStack.objects.filter(stack__in=by_stack, run__state__in=[RunState.PLANNED, RunState.RUNNING])
    return {
        one.stack_id: f"It is in {one.run.name}, {one.run.get_state_display().lower()} in {one.run.kiln.name}."
        for one in rows.select_related("run__kiln")
    }


def _footage(pairs: Sequence[tuple[Slab, int]], cohort: Cohort) -> float:
    return sum(slab.green_bf for slab, _ in pairs if slab.cohort_id == cohort.pk)


def _why_not(woods: Sequence[WoodOfStack], yard: Yard, today: date) -> list[str]:
    """What the estimates say against it."""
    told = []
    for wood in woods:
        cohort, name = wood.cohort, species_name(wood.species_key)
        if cohort.estimate is None:
            told.append(f"No estimate of the {name} yet: give the yard its place, and weigh a sample.")
        elif wood.mc_pct <= yard.dry_target_pct + DRIER_BY_PCT:
            target = quantities.pct(yard.dry_target_pct)
            told.append(f"The {name} is dry: {quantities.mc(wood.mc_pct)} now, and a kiln would go to {target}.")
        elif not wood.ready and (cohort.mid_on is None or (cohort.mid_on - today).days > SOON_DAYS):
            told.append(f"Too wet: the {name} has {quantities.mc(wood.mc_pct)}; {_ready_words(cohort)}.")
    return told


def _ready_words(cohort: Cohort) -> str:
    goal = quantities.pct(cohort.goal_pct) if cohort.goal_pct else "its target"
    if cohort.mid_on is None:
        return f"{goal} is not in sight where it stands"
    span = f"{day(cohort.low_on)} to {day(cohort.high_on)}" if cohort.low_on and cohort.high_on else "no surer"
    return f"{goal} is expected about {day(cohort.mid_on)} ({span})"


def _notes(kiln: Kiln, woods: Sequence[WoodOfStack], laid: Laid, as_built: Laid) -> list[str]:
    told = []
    for wood in woods:
        if wood.cohort.estimate is not None and not wood.ready:
            share = wood.cohort.reached_now or 0.0
            told.append(f"Not ready yet ({share:.0%} likely): {_ready_words(wood.cohort)}.")
    if len(woods) > 1:
        told.append(f"{len(woods)} woods in it: the slowest decides for all.")
    if not as_built.fits(kiln):
        told.append(
            f"As it stands {as_built.words}: build it anew for the kiln, {quantities.length_ft(laid.width_ft)} wide, "
            f"{laid.courses} courses, {quantities.length_ft(laid.height_ft)} high."
        )
    return told

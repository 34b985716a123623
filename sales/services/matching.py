"""What of the yard's wood answers a buyer's request: dry, drying with its date, still in the log; and why each.

Other people's wood and wood that is held back never come into it; wood reserved for somebody is named as such and
cannot be chosen. A fixed number of queries, however much wood there is.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet
from django.utils import timezone

from sales.models import OrderLine, Reservation
from sales.services.dry_width import (
    DRY_WIDTH_IN,
    WIDER_DRY,
    DryWidth,
    as_long_as,
    dry_length_in,
    dry_width,
    width_left,
)
from sales.services.footage import DRY_MC_PCT, slab_footage
from sales.services.match_dates import Dates, cohort_dates
from sales.services.match_logs import LogOffer, logs_for
from sales.services.match_pairs import keep_matched
from sales.services.money import line_total
from sales.services.price_book import PriceBook, price_quantity
from sales.services.sale_settings import the_sale_settings
from sales.services.wish_matches import MC_SLACK_PCT, grades_from
from yard import quantities as shown
from yard.models import Photo, Slab, SlabState
from yard.services.yard_settings import the_yard

MOST_FITTING, MOST_SHOWN, MOST_SHORT = 120, 16, 12
# slabs looked at that fit, shown of them, shown of those that nearly do (our own limits)
NEAR = 0.8  # of the width or length that is asked for: what falls short of it by more is not shown (our own choice)
PICK_DAYS = 2
DRYING = (SlabState.STACKED, SlabState.KILN)


@dataclass(frozen=True, slots=True)
class Wanted:
    """A request: sizes in inches, at least; MC at most. Empty fields ask for nothing."""

    species_key: str = ""
    quarters: float | None = None
    slab_kind: str = ""
    min_width_in: float | None = None
    length_in: float | None = None
    grade: str = ""
    figure: str = ""
    matched: bool = False
    count: int | None = None
    bf_wanted: float | None = None
    target_mc_pct: float | None = None
    by_date: date | None = None
    waste_pct: float = 0.0

    @property
    def bf_needed(self) -> float | None:
        """Board feet with the allowance for waste on top."""
        return None if self.bf_wanted is None else self.bf_wanted * (1.0 + self.waste_pct / 100.0)


@dataclass(slots=True)
class Offer:
    """A piece that answers, or nearly: what speaks for it, what it falls short of, what it costs, and from when."""

    slab: Slab
    why: list[str]
    short: list[str]
    bf: Decimal
    bf_how: str
    price: Decimal | None
    price_words: str
    width: DryWidth
    dates: Dates | None = None
    chosen: bool = False
    beside: str = ""
    rank: int = 0

    @property
    def length_in(self) -> float:
        return dry_length_in(self.slab)

    @property
    def ready_on(self) -> date:
        """The day that holds nine times in ten; far off where none does, long ago for dry wood."""
        if self.slab.state not in DRYING:
            return date.min
        return (self.dates and self.dates.safe) or date.max

    @property
    def fits(self) -> bool:
        return not self.short


@dataclass(frozen=True)
class Answer:
    """The offers, ranked: dry, drying by date, in the log; and those that fall short."""

    dry: tuple[Offer, ...]
    drying: tuple[Offer, ...]
    logs: tuple[LogOffer, ...]
    short: tuple[Offer, ...]
    words: str
    more: bool = False
    chosen_total: Decimal = field(default=Decimal(0))


def match(wanted: Wanted, *, today: date) -> Answer:
    """Look through the yard."""
    dry_rows = list(_fitting(_dry(), wanted, dry=True)[: MOST_FITTING + 1])
    drying_rows = list(_fitting(_drying(), wanted, dry=False)[:MOST_FITTING])
    near_rows = list(_near(wanted)[:MOST_SHORT])
    dates = cohort_dates({row.cohort for row in drying_rows if row.cohort}, wanted.target_mc_pct, today)
    offers = _Offers(wanted, today)
    dry = [offers.offer(row, None) for row in dry_rows[:MOST_FITTING]]
    drying = [offers.offer(row, dates.get(row.cohort_id)) for row in drying_rows]
    if wanted.matched:
        keep_matched([*dry, *drying], wanted)
        dry.sort(key=lambda one: one.rank)
    drying.sort(key=lambda one: (one.ready_on, one.rank))
    short = [one for one in [*dry, *drying, *(offers.offer(row, None) for row in near_rows)] if one.short]
    good_dry, good_drying = [one for one in dry if one.fits], [one for one in drying if one.fits]
    words = _choose(wanted, [*good_dry, *good_drying])
    total = sum((one.price or Decimal(0) for one in [*good_dry, *good_drying] if one.chosen), Decimal(0))
    more = len(dry_rows) > MOST_FITTING or max(len(good_dry), len(good_drying)) > MOST_SHOWN
    return Answer(
        _cut(good_dry), _cut(good_drying), tuple(logs_for(wanted.species_key, wanted.min_width_in, wanted.length_in)),
        tuple(sorted(short, key=lambda one: len(one.short))[:MOST_SHORT]), words, more, total,
    )  # fmt: skip


def _cut(offers: Sequence[Offer]) -> tuple[Offer, ...]:
    """As many as a page shows, those that are chosen first and never left out."""
    first = sorted(offers, key=lambda one: not one.chosen)
    return tuple(first[: max(MOST_SHOWN, sum(one.chosen for one in offers))])


def asked_of(line: OrderLine) -> Wanted:
    """The request that a line of wood as asked for is."""
    return Wanted(**{name: getattr(line, name) for name in Wanted.__dataclass_fields__})


def _held() -> Exists:
    return Exists(Reservation.objects.holding(timezone.localdate()).filter(slab=OuterRef("pk")))


def _dry() -> QuerySet[Slab]:
    return Slab.objects.for_sale()


def _drying() -> QuerySet[Slab]:
    return Slab.objects.ours().drying().filter(hold_back=False)


def _rows(rows: QuerySet[Slab]) -> QuerySet[Slab]:
    photos = Prefetch("photos", Photo.objects.only("id", "slab_id").order_by("added_at", "id"))
    heavy = ("path", "posterior", "inputs", "reasons", "conflicts")
    return (
        rows.annotate(held=_held()).alias(dry_width_in=DRY_WIDTH_IN)
        .select_related("cohort__estimate", "cohort__stack", "log")
        .defer(*(f"cohort__estimate__{name}" for name in heavy)).prefetch_related(photos)
    )  # fmt: skip


def _alike(rows: QuerySet[Slab], wanted: Wanted) -> QuerySet[Slab]:
    """The wood, thickness and kind that were asked for: what differs in these is another thing."""
    same = {"species_key": wanted.species_key, "quarters": wanted.quarters, "kind": wanted.slab_kind}
    return rows.filter(**{name: value for name, value in same.items() if value})


def _sizes(wanted: Wanted, share: float = 1.0) -> Q:
    """Widths are those of dry wood; the sawn width, which has an index, sorts out the most of it."""
    asked = Q()
    if wanted.min_width_in:
        least_in = wanted.min_width_in * share
        asked &= Q(mean_width_in__gte=least_in * WIDER_DRY) & Q(dry_width_in__gte=least_in)
    if wanted.length_in:
        asked &= as_long_as(wanted.length_in * share)
    return asked


def _words_asked(wanted: Wanted) -> Q:
    asked = Q()
    if wanted.grade:
        asked &= Q(grade__in=grades_from(wanted.grade))
    if wanted.figure:
        asked &= Q(figure__icontains=wanted.figure)
    return asked


def _dry_enough(wanted: Wanted) -> Q:
    return Q(dry_mc_pct__lte=wanted.target_mc_pct + MC_SLACK_PCT) if wanted.target_mc_pct else Q()


def _fitting(rows: QuerySet[Slab], wanted: Wanted, *, dry: bool) -> QuerySet[Slab]:
    """What fits and is free, the smallest that does first: the least is cut away."""
    asked = _sizes(wanted) & _words_asked(wanted)
    if dry:
        asked &= _dry_enough(wanted)
    elif wanted.min_width_in and wanted.species_key:  # what is too narrow once it is dry is another thing
        left = width_left(wanted.species_key, wanted.target_mc_pct or DRY_MC_PCT)
        asked &= Q(net_bf__isnull=False) | Q(mean_width_in__gte=wanted.min_width_in / left)
    found = _rows(_alike(rows, wanted)).filter(asked, held=False)
    if wanted.matched:  # of more than are looked at those first that have a neighbour
        return found.order_by(_has_neighbour().desc(), "mean_width_in", "length_in", "pk")
    return found.order_by("mean_width_in", "length_in", "pk")


def _has_neighbour() -> Exists:
    beside = Slab.objects.ours().filter(
        log=OuterRef("log"), quarters=OuterRef("quarters"), hold_back=False, state__in=[SlabState.DRY, *DRYING],
        position__in=[OuterRef("position") - 1, OuterRef("position") + 1],
    )  # fmt: skip
    return Exists(beside)


def _near(wanted: Wanted) -> QuerySet[Slab]:
    """Dry wood that nearly fits, or fits and is reserved; the widest first."""
    fits = _sizes(wanted) & _words_asked(wanted) & _dry_enough(wanted)
    rows = _rows(_alike(_dry(), wanted)).filter(_sizes(wanted, NEAR))
    return rows.exclude(Q(fits) & Q(held=False)).order_by("-mean_width_in", "pk")


class _Offers:
    """Turns rows into offers with what was read once: rules and habits."""

    def __init__(self, wanted: Wanted, today: date) -> None:
        self.wanted, self.today = wanted, today
        self.book, self.habits = PriceBook(on=today), the_sale_settings()
        self.mc_pct = wanted.target_mc_pct or the_yard().dry_target_pct or DRY_MC_PCT

    def offer(self, slab: Slab, dates: Dates | None) -> Offer:
        drying = dates is not None or slab.state in DRYING
        footage = slab_footage(slab, basis=self.habits.basis, rounding=self.habits.rounding, mc_pct=self.mc_pct)
        price, width = self.book.price(slab, self.mc_pct), dry_width(slab, self.mc_pct)
        total = None
        if price is not None:
            quantity = price_quantity(slab, price, footage.bf)
            total = line_total(quantity=quantity, unit_price=price.amount, minimum=price.minimum)
        short = [*self._short(slab, width), *(self._late(dates) if drying else self._not_in_time())]
        words = price.words if price else "no rule gives its price"
        why = self._why(slab, width, dates)
        return Offer(slab, why, short, footage.bf, footage.how, total, words, width, dates)

    def _why(self, slab: Slab, width: DryWidth, dates: Dates | None) -> list[str]:
        words = []
        if self.wanted.min_width_in and width.width_in >= self.wanted.min_width_in:
            over = _over(width.width_in - self.wanted.min_width_in)
            words.append(f"{shown.width(width.width_in)} wide ({width.how}), {over}")
        length_in = dry_length_in(slab)
        if self.wanted.length_in and length_in >= self.wanted.length_in:
            words.append(f"{shown.length_in(length_in)} long")
        if width.narrowest_in and self.wanted.min_width_in and width.narrowest_in < self.wanted.min_width_in:
            words.append(f"mind: {shown.width(width.narrowest_in)} at its narrowest")
        if dates is not None:
            words.append(dates.words)
        elif slab.dry_mc_pct is not None:
            words.append(f"dry, {shown.mc(slab.dry_mc_pct)}")
        return words

    def _short(self, slab: Slab, width: DryWidth) -> list[str]:
        wanted, words = self.wanted, []
        if wanted.min_width_in and width.width_in < wanted.min_width_in:
            words.append(f"too narrow by {shown.width(wanted.min_width_in - width.width_in)} ({width.how})")
        length_in = dry_length_in(slab)
        if wanted.length_in and length_in < wanted.length_in:
            words.append(f"too short by {shown.length_in(wanted.length_in - length_in)}")
        if wanted.grade and slab.grade not in grades_from(wanted.grade):
            words.append(f"graded {slab.grade}, {wanted.grade} asked" if slab.grade else "not graded")
        if wanted.figure and wanted.figure.lower() not in slab.figure.lower():
            words.append(f"no {wanted.figure}")
        if wanted.target_mc_pct and slab.dry_mc_pct and slab.dry_mc_pct > wanted.target_mc_pct + MC_SLACK_PCT:
            words.append(f"at {shown.mc(slab.dry_mc_pct)}, {wanted.target_mc_pct:g}% asked")
        if slab.held:
            words.append("reserved for an order")
        return words

    def _late(self, dates: Dates | None) -> list[str]:
        if dates is None or dates.safe is None:
            return ["no date holds nine times in ten"] if self.wanted.by_date else []
        late = (dates.safe - self.wanted.by_date).days if self.wanted.by_date else 0
        return [f"{_days(late)} late, to hold nine times in ten"] if late > 0 else []

    def _not_in_time(self) -> list[str]:
        ready = self.today + timedelta(days=PICK_DAYS)
        return ["cannot be picked in time"] if self.wanted.by_date and ready > self.wanted.by_date else []


def _choose(wanted: Wanted, offers: Sequence[Offer]) -> str:
    """Mark the first that answer the request, and say what that comes to or what is missing."""
    pieces, feet = 0, Decimal(0)
    ranked = sorted(offers, key=lambda one: one.rank) if wanted.matched else offers
    for one in ranked:
        if _enough(wanted, pieces, feet):
            break
        one.chosen = True
        pieces, feet = pieces + one.slab.count, feet + one.bf
    if not pieces:
        return "Nothing that is sawn answers it in full."
    words = f"{pieces} piece{'' if pieces == 1 else 's'} with {feet:,} bf answer{'s' if pieces == 1 else ''} it"
    if not _enough(wanted, pieces, feet):
        needed = f"{wanted.count} pieces" if wanted.count else f"{wanted.bf_needed:,.1f} bf"
        return f"{words} in part: {needed} are needed."
    if wanted.bf_wanted is not None and wanted.waste_pct:
        words += f", with {wanted.waste_pct:g}% for waste on {wanted.bf_wanted:g} bf"
    return f"{words}."


def _enough(wanted: Wanted, pieces: int, feet: Decimal) -> bool:
    if wanted.bf_needed is not None:
        return float(feet) >= wanted.bf_needed
    return pieces >= (wanted.count or (2 if wanted.matched else 1))


def _over(more_in: float) -> str:
    return "as asked" if more_in < 0.05 else f"{shown.width(more_in)} over"


def _days(days: int) -> str:
    if days >= 14:
        return f"{round(days / 7)} weeks"
    return f"{days} day{'' if days == 1 else 's'}"


def slabs_chosen(ids: Iterable[str]) -> list[Slab]:
    """The slabs that a person ticked."""
    return list(Slab.objects.filter(pk__in=[one for one in ids if one.isdecimal()]).order_by("pk"))

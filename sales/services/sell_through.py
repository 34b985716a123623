"""How much of what was sawn is sold, year by year, and how long the stock of each wood lasts at the latest pace."""

from dataclasses import dataclass

from django.db.models import Q, Sum

from sales.services.sold_wood import Period, sold_lines
from yard.models import Slab, SlabState

NO_WOOD = [SlabState.VOID, SlabState.SPLIT]
DAYS_A_MONTH = 365.25 / 12


@dataclass(frozen=True, slots=True)
class SawnYear:
    """Board feet of ours sawn in a year, on the green tally, and what became of them by today."""

    year: int
    sawn_bf: float
    sold_bf: float
    here_bf: float

    @property
    def sold_pct(self) -> float:
        return self.sold_bf / self.sawn_bf * 100 if self.sawn_bf else 0.0


@dataclass(frozen=True, slots=True)
class StockPace:
    """A wood's stock today against what was sold of it in the period."""

    species_key: str
    sold_bf: float
    dry_bf: float
    drying_bf: float
    lasts_months: float | None


def sawn_years() -> list[SawnYear]:
    """Year by year, the newest first: one query. Days become years here: SQLite is slow at taking years from days."""
    rows = (
        Slab.objects.ours().exclude(state__in=NO_WOOD).order_by().values_list("sawn_on")
        .annotate(bf=Sum("green_bf"), sold=Sum("green_bf", filter=Q(state=SlabState.SOLD)))
    )  # fmt: skip
    years: dict[int, tuple[float, float]] = {}
    for sawn_on, bf, sold in rows:
        whole, gone = years.get(sawn_on.year, (0.0, 0.0))
        years[sawn_on.year] = (whole + bf, gone + (sold or 0.0))
    return [SawnYear(year, bf, sold, bf - sold) for year, (bf, sold) in sorted(years.items(), reverse=True)]


def stock_paces(period: Period) -> list[StockPace]:
    """Wood by wood, what sold most first: two queries."""
    sold = dict(
        sold_lines(period).values_list("slab__species_key").annotate(bf=Sum("slab__green_bf"))
    )  # fmt: skip
    rows = {
        key: (dry or 0.0, drying or 0.0)
        for key, dry, drying in Slab.objects.ours().standing().order_by().values_list("species_key").annotate(
            dry=Sum("green_bf", filter=Q(state=SlabState.DRY)), drying=Sum("green_bf", filter=~Q(state=SlabState.DRY))
        )
    }
    months = ((period.end - period.start).days + 1) / DAYS_A_MONTH
    paces = []
    for key in sold.keys() | rows.keys():
        dry, drying = rows.get(key, (0.0, 0.0))
        lasts = dry / (sold[key] / months) if sold.get(key) else None
        paces.append(StockPace(key, sold.get(key, 0.0), dry, drying, lasts))
    return sorted(paces, key=lambda one: (-one.sold_bf, -one.dry_bf))

"""What is offered to anybody: dry wood of ours that nobody has and that is not held back, and nothing else about it.

A page never gets a slab's row, only `Offer`, which has no place for owner, cost, buyer, log, note or where it lies.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef, Prefetch, QuerySet
from django.utils import timezone

from sales.models import Per, Reservation, SaleSettings
from sales.services.dry_width import DRY_WIDTH_IN, dry_length_in, dry_width
from sales.services.footage import DRY_MC_PCT, slab_footage
from sales.services.money import line_total
from sales.services.price_book import PriceBook, price_quantity
from sales.services.sale_settings import the_sale_settings
from yard.models import Photo, Slab, SlabKind
from yard.wood.species import UnknownSpecies, species

ON_A_PAGE = 24
IN_THE_FEED = 50
LAST_PAGE = 400  # further on somebody is reading by machine: the filter finds things sooner
FEATURES = {
    "has_crotch": "crotch", "has_wane": "wane", "has_knots": "knots", "has_checks": "checks", "has_pith": "pith"
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Offer:
    """A piece as strangers see it."""

    code: str
    tag: str
    wood: str
    latin: str
    kind: str
    count: int
    quarters: float
    width_in: float
    width_how: str
    length_in: float
    bf: Decimal
    bf_how: str
    mc_pct: float | None
    dry_on: date | None
    grade: str
    figure: str
    features: tuple[str, ...]
    photos: tuple[int, ...]
    price: Decimal | None
    each_bf: Decimal | None


@dataclass(frozen=True, slots=True)
class OffersPage:
    """One page of what is offered, and which woods there are to choose from."""

    offers: tuple[Offer, ...]
    woods: tuple[tuple[str, str], ...]
    number: int
    has_more: bool


def offered() -> QuerySet[Slab]:
    """Slabs that strangers may see: ours, dry, not held back, held for nobody today."""
    held = Reservation.objects.holding(timezone.localdate()).filter(slab=OuterRef("pk"))
    return Slab.objects.for_sale().alias(dry_width_in=DRY_WIDTH_IN).filter(~Exists(held)).order_by("-sawn_on", "-id")


def offers_page(*, wood: str = "", page: int = 1) -> OffersPage:
    """So many offers, the newest sawn first; a fixed number of queries however much there is."""
    number = min(max(page, 1), LAST_PAGE)
    found = offered().filter(species_key=wood) if wood else offered()
    start = (number - 1) * ON_A_PAGE
    rows = list(found[start : start + ON_A_PAGE + 1].prefetch_related(_photos()))
    keys = offered().order_by().values_list("species_key", flat=True).distinct()
    woods = sorted(((key, _names(key)[0]) for key in keys), key=lambda one: one[1])
    return OffersPage(_offers(rows[:ON_A_PAGE]), tuple(woods), number, len(rows) > ON_A_PAGE)


def newest_offers() -> tuple[Offer, ...]:
    """What the feed tells of."""
    return _offers(list(offered()[:IN_THE_FEED].prefetch_related(_photos())))


def offer_of(code: str) -> Offer | None:
    """One piece by its code; None when it is not offered, for whatever reason."""
    rows = list(offered().filter(code=code.upper()).prefetch_related(_photos())[:1])
    return _offers(rows)[0] if rows else None


def offers_of(slabs: Sequence[Slab]) -> tuple[Offer, ...]:
    """Pieces as strangers see them, without their photos."""
    return _offers(list(slabs), photos=False)


def offered_photo(pk: int) -> Photo | None:
    """A photo that strangers may see: one of a piece that is offered."""
    return Photo.objects.only("image", "thumb").filter(pk=pk, slab__in=offered().order_by().values("pk")).first()


def _photos() -> Prefetch:
    return Prefetch("photos", Photo.objects.only("id", "slab_id").order_by("added_at", "id"))


def _offers(rows: Sequence[Slab], *, photos: bool = True) -> tuple[Offer, ...]:
    habits = the_sale_settings()
    book = PriceBook(on=timezone.localdate()) if habits.public_prices and rows else None
    return tuple(_offer(slab, habits, book, photos) for slab in rows)


def _offer(slab: Slab, habits: SaleSettings, book: PriceBook | None, photos: bool) -> Offer:
    mc_pct = slab.dry_mc_pct or DRY_MC_PCT
    footage = slab_footage(slab, basis=habits.basis, rounding=habits.rounding, mc_pct=mc_pct)
    price = book.price(slab, mc_pct) if book else None
    by_foot = price is not None and price.per == Per.BF
    wood, latin = _names(slab.species_key)
    width = dry_width(slab, mc_pct)
    return Offer(
        code=slab.code, tag=slab.tag, wood=wood, latin=latin, kind=SlabKind(slab.kind).label, count=slab.count,
        quarters=slab.quarters, width_in=width.width_in, width_how=width.how,
        length_in=dry_length_in(slab), bf=footage.bf, bf_how=footage.how,
        mc_pct=slab.dry_mc_pct, dry_on=slab.dry_on, grade=slab.grade,
        figure=slab.figure, features=tuple(words for name, words in FEATURES.items() if getattr(slab, name)),
        photos=tuple(photo.pk for photo in slab.photos.all()) if photos else (),
        price=line_total(
            quantity=price_quantity(slab, price, footage.bf), unit_price=price.amount, minimum=price.minimum
        ) if price else None,
        each_bf=price.amount if price and by_foot else None,
    )  # fmt: skip


def _names(key: str) -> tuple[str, str]:
    try:
        found = species(key)
    except UnknownSpecies:
        return key, ""
    return found.plain_name[:1].upper() + found.plain_name[1:], found.botanical_name

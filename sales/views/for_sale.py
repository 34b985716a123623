"""The wood for sale, for anybody if the owner opens it: a list, a page for each piece, its photos, a feed."""

from datetime import UTC, datetime, time
from functools import wraps

from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.feedgenerator import Atom1Feed

from sales.models import SaleSettings
from sales.services.for_sale import Offer, newest_offers, offer_of, offered_photo, offers_page
from sales.services.sale_settings import the_sale_settings
from yard import quantities as shown
from yard.views.labels import label_base

CLOSED = ("Nothing here", "The yard does not show its wood here.")
GONE = ("No longer here", "It may be sold, or kept for somebody. Look at what there is.")
MINUTES_S = 300


def open_to_all(view):
    """Strangers come in when the owner has opened the page; people of the yard always do, to look at it."""

    @wraps(view)
    def seen(request: HttpRequest, *args, **more) -> HttpResponse:
        request.habits = the_sale_settings()
        if not request.habits.public_open and not request.user.is_authenticated:
            return _no(request, CLOSED)
        return view(request, *args, **more)

    return seen


@open_to_all
def for_sale(request: HttpRequest) -> HttpResponse:
    """A page of what is offered, of one wood or of all."""
    wood, asked = request.GET.get("wood", "")[:60], request.GET.get("page", "")
    found = offers_page(wood=wood, page=int(asked) if asked.isdecimal() and len(asked) < 6 else 1)
    return render(request, "sales/for_sale.html", _context(request) | {"found": found, "wood": wood})


@open_to_all
def for_sale_slab(request: HttpRequest, code: str) -> HttpResponse:
    """One piece, with its photos."""
    offer = offer_of(code)
    if offer is None:
        return _no(request, GONE)
    return render(request, "sales/for_sale_slab.html", _context(request) | {"offer": offer})


@open_to_all
def for_sale_photo(request: HttpRequest, pk: int, size: str) -> HttpResponse | FileResponse:
    """A photo of a piece that is offered: scaled when it was taken in, and without where and by what it was taken."""
    photo = offered_photo(pk)
    try:
        opened = (photo.thumb if size == "small" else photo.image).open("rb") if photo else None
    except (FileNotFoundError, ValueError):
        opened = None
    if opened is None:
        return _no(request, GONE)
    answer = FileResponse(opened, content_type="image/jpeg")
    answer["Cache-Control"] = f"private, max-age={MINUTES_S}"
    return answer


@open_to_all
def for_sale_feed(request: HttpRequest) -> HttpResponse:
    """The newest pieces as an Atom feed."""
    base = label_base(request).rstrip("/")
    feed = Atom1Feed(
        title=f"For sale at {request.yard.name}", link=base + reverse("outside:for-sale"),
        description=request.habits.public_words, feed_url=base + reverse("outside:for-sale-feed"), language="en",
    )  # fmt: skip
    for offer in newest_offers():
        address = base + reverse("outside:for-sale-slab", args=[offer.code])
        day = datetime.combine(offer.dry_on, time(12), UTC) if offer.dry_on else None
        feed.add_item(
            title=offer_title(offer), link=address, description=offer_words(offer), unique_id=address,
            pubdate=day, updateddate=day,
        )  # fmt: skip
    return HttpResponse(feed.writeString("utf-8"), content_type="application/atom+xml; charset=utf-8")


def offer_title(offer: Offer) -> str:
    """What it is in a line."""
    sizes = f"{shown.width(offer.width_in)} × {shown.length_in(offer.length_in)}"
    return f"{offer.wood} {shown.quarters(offer.quarters)}, {sizes}"


def offer_words(offer: Offer) -> str:
    """What a feed says of it."""
    parts = [
        offer.kind, f"{offer.bf:f} bf", f"MC {shown.mc(offer.mc_pct)}" if offer.mc_pct is not None else "",
        offer.figure,
        shown.money(offer.price) if offer.price is not None else "", f"tag {offer.tag}",
    ]  # fmt: skip
    return ", ".join(part for part in parts if part)


def _context(request: HttpRequest) -> dict[str, object]:
    habits: SaleSettings = request.habits
    return {"habits": habits, "only_us": not habits.public_open, "taxed": request.yard.tax_pct > 0}


def _no(request: HttpRequest, words: tuple[str, str]) -> HttpResponse:
    return render(request, "sales/buyer_refused.html", {"title": words[0], "words": words[1]}, status=404)

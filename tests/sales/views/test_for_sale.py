"""The page of wood for sale: what anybody sees, and that nothing else of the yard is in its HTML, feed or photos."""

import re
from datetime import timedelta
from decimal import Decimal
from io import BytesIO

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from PIL import Image

from sales.models import OrderState, Reservation
from sales.services.orders import order_cancel
from sales.services.sale_settings import sale_settings_change, the_sale_settings
from tests.make import make_bay, make_log, make_slab
from tests.sales.make import make_buyer, make_dry_slab, make_order, make_owner, make_rule
from tests.yard.services.test_photos import phone_exif, picture
from yard.models import Slab
from yard.services.photos import photo_add

pytestmark = pytest.mark.usefixtures("yard")


def opened(**more):
    sale_settings_change(by=None, version=the_sale_settings().version, public_open=True, **more)


def html_of(path="/for-sale/", client=None):
    answer = (client or Client()).get(path)
    assert answer.status_code == 200
    return answer.content.decode()


def test_closed_page_is_not_there_for_strangers_but_for_people_of_the_yard(viewer_client):
    slab = make_dry_slab("W-1")
    photo = photo_add(thing=slab, upload=picture(), by=None)
    for path in ("", "feed/", f"{slab.code}/", f"photos/{photo.pk}/small/", f"photos/{photo.pk}/large/"):
        answer = Client().get(f"/for-sale/{path}")
        assert answer.status_code == 404
        assert b"W-1" not in b"".join(answer)
    assert "the owner has not opened it" in html_of(client=viewer_client)


def test_only_dry_wood_of_ours_that_nobody_has_is_shown():
    opened()
    make_dry_slab("SHOWN-1")
    make_slab("GREEN-1")
    make_dry_slab("HELDBACK-1", hold_back=True)
    make_dry_slab("THEIRS-1", owner=make_owner())
    make_order(slabs=[make_dry_slab("ORDERED-1", price=Decimal(50))], state=OrderState.ORDERED)
    make_order(slabs=[make_dry_slab("QUOTED-1", price=Decimal(50))], state=OrderState.QUOTED)
    make_order(slabs=[make_dry_slab("ASKED-1", price=Decimal(50))], state=OrderState.INQUIRY)
    Slab.objects.filter(pk=make_dry_slab("SOLD-1").pk).update(state="sold")
    assert set(re.findall(r"[A-Z]+-1", html_of())) == {"SHOWN-1", "ASKED-1"}  # an inquiry holds nothing
    assert set(re.findall(r"[A-Z]+-1", html_of("/for-sale/feed/"))) == {"SHOWN-1", "ASKED-1"}


def test_slab_is_offered_again_when_its_hold_ends():
    opened()
    order = make_order(slabs=[make_dry_slab("Q-1", price=Decimal(50))], state=OrderState.QUOTED)
    other = make_order(slabs=[make_dry_slab("C-1", price=Decimal(50))], state=OrderState.ORDERED)
    assert "Q-1" not in html_of()
    Reservation.objects.filter(line__order=order).update(expires_on=timezone.localdate() - timedelta(days=1))
    order_cancel(by=None, order=other, reason="changed their mind")
    assert {"Q-1", "C-1"} <= set(re.findall(r"[QC]-1", html_of()))


def test_nothing_of_owner_cost_buyer_place_or_note_is_on_any_page():
    """Everything that could tell is filled in; the whole HTML, the feed and every link in them are read."""
    opened(public_prices=True)
    supplier = make_buyer("Supplier Secretsson")
    log = make_log("LOG-SECRET", cost=Decimal("777.77"), where_from="Secret Hollow", supplier=supplier)
    more = {"note": "secret note", "matched_set": "SECRET-SET"}
    slab = make_dry_slab("W-1", log=log, position=7, price=Decimal("310.00"), **more)
    Slab.objects.filter(pk=slab.pk).update(bay=make_bay("Secret shed"))
    photo_add(thing=slab, upload=picture(), by=None, caption="secret caption")
    order = make_order(slabs=[slab], buyer=make_buyer("Secret Buyer"), own_note="secret")
    order_cancel(by=None, order=order, reason="secret reason")
    pages = [html_of(path) for path in ("/for-sale/", f"/for-sale/{slab.code}/", "/for-sale/feed/")]
    assert all("W-1" in page for page in pages)
    for page in pages:
        assert not re.search("secret|777|hollow", page, re.IGNORECASE)
        assert "csrf" not in page
        links = re.findall(r'(?:href|src)="([^"]+)"', page)
        inside = [re.sub(r"^https?://[^/]+", "", link) for link in links]
        assert all(link.startswith(("/for-sale/", "/static/", "#", "?")) for link in inside), inside


def test_prices_are_shown_only_when_the_owner_says_so():
    make_rule("10.00")
    own = make_dry_slab("OWN-1", price=Decimal("310.00"))
    ruled = make_dry_slab("RULE-1")
    opened()
    assert "$" not in html_of() + html_of(f"/for-sale/{own.code}/") + html_of("/for-sale/feed/")
    opened(public_prices=True)
    assert "$310.00" in html_of()
    page = html_of(f"/for-sale/{ruled.code}/")
    bf = Decimal(re.search(r"([\d.]+) board feet", page)[1])
    assert f"${bf * 10:,.2f}" in page
    assert "$10.00 a board foot" in page


def test_filter_by_wood_and_pages_show_every_piece_once():
    opened()
    for number in range(30):
        make_dry_slab(f"OAK-{number:02}")
    make_dry_slab("WAL-00", species_key="walnut-black")
    seen = re.findall(r"(?:OAK|WAL)-\d\d", html_of() + html_of("/for-sale/?page=2"))
    assert sorted(seen) == sorted([*(f"OAK-{number:02}" for number in range(30)), "WAL-00"])
    assert re.findall(r"(?:OAK|WAL)-\d\d", html_of("/for-sale/?wood=walnut-black")) == ["WAL-00"]
    assert "Nothing is for sale of this wood" in html_of("/for-sale/?wood=nonsense")
    for odd in ("0", "-3", "999999999", "x", "²"):
        html_of(f"/for-sale/?page={odd}")


def test_photos_only_of_pieces_that_are_offered_and_without_metadata():
    opened()
    shown = photo_add(thing=make_dry_slab(), upload=picture((3000, 2000), exif=phone_exif()), by=None)
    green = photo_add(thing=make_slab(), upload=picture(), by=None)
    log = photo_add(thing=make_log(), upload=picture(), by=None)
    for size, most in (("small", 480), ("large", 2000)):
        data = b"".join(Client().get(f"/for-sale/photos/{shown.pk}/{size}/"))
        image = Image.open(BytesIO(data))
        assert max(image.size) <= most
        assert not image.getexif()
        for hidden in (green, log):
            assert Client().get(f"/for-sale/photos/{hidden.pk}/{size}/").status_code == 404


def test_piece_that_is_gone_says_so_politely():
    opened()
    slab = make_dry_slab()
    Slab.objects.filter(pk=slab.pk).update(state="sold")
    answer = Client().get(f"/for-sale/{slab.code}/")
    assert answer.status_code == 404
    assert "It may be sold" in answer.content.decode()


def test_feed_is_well_formed_and_names_each_piece_by_its_address():
    from xml.etree import ElementTree

    opened(public_words="Slabs & more")
    slab = make_dry_slab("W-1")
    feed = ElementTree.fromstring(html_of("/for-sale/feed/"))
    atom = "{http://www.w3.org/2005/Atom}"
    (entry,) = feed.findall(f"{atom}entry")
    assert entry.findtext(f"{atom}id") == f"http://testserver/for-sale/{slab.code}/"
    assert entry.findtext(f"{atom}updated").startswith("2026-02-02")  # the day it was called dry


def test_number_of_queries_does_not_grow():
    opened(public_prices=True)
    make_rule()

    def queries():
        with CaptureQueriesContext(connection) as seen:
            html_of()
        return len(seen)

    for _ in range(2):
        photo_add(thing=make_dry_slab(), upload=picture(), by=None)
    few = queries()
    for _ in range(10):
        photo_add(thing=make_dry_slab(), upload=picture(), by=None)
    assert queries() == few


def test_nothing_for_sale_says_so():
    opened()
    assert "Nothing is for sale just now" in html_of()

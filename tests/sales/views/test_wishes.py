"""The pages of wishes, and their section on the contact's page with what was bought."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from sales.models import OrderState, Wish
from sales.services.deliveries import order_deliver
from sales.services.wishes import wish_add
from tests.sales.make import make_buyer, make_dry_slab, make_order

OAK = "oak-northern-red"


@pytest.fixture
def buyer(yard):
    return make_buyer("Anna Lind", email="anna@example.org")


def test_wish_is_added_changed_and_closed(buyer, hand_client):
    new = f"/sales/wishes/new/{buyer.pk}/"
    assert hand_client.get(new).status_code == 200
    typed = {"species_key": OAK, "quarters": "8", "min_width_in": "20 in", "tell_by_email": "on"}
    assert hand_client.post(new, typed).status_code == 302
    wish = Wish.objects.get()
    assert (wish.quarters, wish.min_width_in, wish.tell_by_email) == (8.0, 20.0, True)
    page = f"/sales/wishes/{wish.pk}/"
    assert "8/4 northern red oak, 20 in and wider" in hand_client.get(page).content.decode()
    assert hand_client.post(page, typed | {"version": 1, "min_width_in": "18 in"}).status_code == 302
    assert hand_client.post(page, typed | {"version": 1, "min_width_in": "17 in"}).status_code == 409
    assert hand_client.post(f"{page}close/").status_code == 302
    wish.refresh_from_db()
    assert (wish.min_width_in, wish.closed_at is None) == (18.0, False)


def test_wish_for_nothing_is_refused_with_what_to_do(buyer, hand_client):
    answer = hand_client.post(f"/sales/wishes/new/{buyer.pk}/", {"words": "something nice"})
    assert answer.status_code == 422
    assert "Say what wood" in answer.content.decode()
    assert "something nice" in answer.content.decode()


def test_list_shows_what_is_ready_in_as_many_queries_for_many(buyer, hand_client):
    make_dry_slab()
    wish_add(by=None, buyer=buyer, species_key=OAK)

    def queries():
        with CaptureQueriesContext(connection) as seen:
            html = hand_client.get("/sales/wishes/").content.decode()
        assert "1 piece</strong>" in html
        return len(seen)

    few = queries()
    for quarters in (4.0, 5.0, 6.0, 8.0):
        wish_add(by=None, buyer=make_buyer(), species_key=OAK, quarters=quarters)
    assert queries() == few


def test_contact_page_shows_wishes_and_what_was_bought(buyer, hand_client, viewer_client):
    order = make_order(slabs=[make_dry_slab(price=Decimal(10))], buyer=buyer, state=OrderState.ORDERED)
    order_deliver(by=None, order=order, unscanned=True)
    wish_add(by=None, buyer=buyer, species_key=OAK, quarters=8.0)
    html = hand_client.get(f"/contacts/{buyer.pk}/").content.decode()
    assert "8/4 northern red oak" in html
    assert "Has bought 1 piece of ours in 1 order" in html
    assert "Likes to be told of" not in viewer_client.get(f"/contacts/{buyer.pk}/").content.decode()


def test_viewers_and_strangers_see_no_wishes(buyer, viewer_client):
    for path in ("/sales/wishes/", f"/sales/wishes/new/{buyer.pk}/"):
        assert viewer_client.get(path).status_code == 403
        assert Client().get(path).status_code == 302


def test_large_yard_counts_what_is_ready_when_somebody_asks(buyer, hand_client, monkeypatch):
    monkeypatch.setattr("sales.services.stock_value.ADDED_AT_ONCE", 0)
    make_dry_slab()
    wish_add(by=None, buyer=buyer, species_key=OAK)
    shown = hand_client.get("/sales/wishes/").content.decode()
    assert "Count what is ready" in shown
    assert "1 piece" not in shown
    assert "1 piece" in hand_client.get("/sales/wishes/?ready=1").content.decode()

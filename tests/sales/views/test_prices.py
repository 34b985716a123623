"""The price list: adding, changing, a new price from a day, ending; who may."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from sales.models import PriceRule
from tests.sales.make import make_dry_slab, make_order, make_rule

TYPED = {
    "what": "wood", "species_key": "black walnut", "quarters": "8", "kind": "", "grade": "", "figure": "",
    "width_from_in": "20", "width_under_in": "", "length_from_in": "8", "length_under_in": "", "price": "14.50",
    "per": "bf", "minimum": "", "valid_from": "2026-03-02", "note": "wide ones",
}  # fmt: skip


def text_of(response):
    return " ".join(response.content.decode().split())


def test_price_is_added_and_stands_in_the_list(owner_client):
    assert owner_client.post("/sales/prices/new/", TYPED).url == "/sales/prices/"
    rule = PriceRule.objects.get()
    assert (rule.price, rule.width_from_in, rule.length_from_in) == (Decimal("14.5"), 20.0, 96.0)
    page = text_of(owner_client.get("/sales/prices/"))
    assert "Black walnut, 8/4, 20 in and more wide" in page
    assert "$14.50" in page


def test_price_that_cannot_be_comes_back_with_what_was_typed(owner_client):
    response = owner_client.post("/sales/prices/new/", TYPED | {"width_under_in": "12"})
    assert response.status_code == 422
    page = text_of(response)
    assert "Widths from a size up to a larger one" in page
    assert "wide ones" in page


def test_price_that_was_never_used_is_changed(owner_client, yard):
    rule = make_rule("8.00")
    page = f"/sales/prices/{rule.pk}/"
    values = TYPED | {"version": 1, "price": "9.00"}
    assert owner_client.post(page, values).status_code == 302
    rule.refresh_from_db()
    assert rule.price == Decimal(9)
    assert owner_client.post(page, values).status_code == 409


def test_price_that_was_used_is_followed_by_another_from_a_day(owner_client, yard):
    rule = make_rule("8.00", species_key="oak-northern-red")
    make_order(slabs=[make_dry_slab()])
    page = f"/sales/prices/{rule.pk}/"
    assert "keeps it" in text_of(owner_client.get(page))
    soon = timezone.localdate() + timedelta(days=7)
    sent = {"version": 1, "price": "9.00", "minimum": "", "valid_from": soon.isoformat(), "note": ""}
    assert owner_client.post(page, sent).status_code == 302
    assert list(PriceRule.objects.order_by("pk").values_list("price", "ended_on")) == [
        (Decimal(8), soon), (Decimal(9), None),
    ]  # fmt: skip
    assert "To come" in text_of(owner_client.get("/sales/prices/"))


def test_price_is_ended_from_a_day(owner_client, yard):
    rule = make_rule("8.00")
    end = f"/sales/prices/{rule.pk}/end/"
    assert owner_client.post(end, {"version": 1, "on": "2024-01-01"}).status_code == 422
    assert owner_client.post(end, {"version": 1, "on": "2026-01-01"}).status_code == 302
    rule.refresh_from_db()
    assert rule.ended_on == date(2026, 1, 1)


def test_list_is_narrowed_to_a_wood(owner_client, yard):
    make_rule("8.00", species_key="oak-northern-red")
    make_rule("14.00", species_key="walnut-black")
    page = text_of(owner_client.get("/sales/prices/?species_key=black+walnut"))
    assert "Black walnut" in page
    assert "Northern red oak" not in page


@pytest.mark.parametrize("page", ["/sales/prices/new/", "/sales/settings/"])
def test_hand_sees_prices_and_sets_none(hand_client, page):
    assert hand_client.get("/sales/prices/").status_code == 200
    assert hand_client.get(page).status_code == 403


def test_viewer_and_stranger_see_no_prices(viewer_client, client, yard):
    assert viewer_client.get("/sales/prices/").status_code == 403
    assert client.get("/sales/prices/").status_code == 302


def test_habits_of_selling_are_kept(owner_client, yard):
    page = owner_client.get("/sales/settings/")
    values = {name: page.context["form"][name].value() for name in page.context["form"].fields}
    values = {name: value for name, value in values.items() if value not in (None, False)}
    assert owner_client.post("/sales/settings/", values | {"quote_days": "10"}).status_code == 302
    assert owner_client.get("/sales/settings/").context["form"]["quote_days"].value() == 10
    assert owner_client.post("/sales/settings/", values | {"quote_days": "0"}).status_code == 422

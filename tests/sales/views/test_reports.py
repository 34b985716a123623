"""The pages of looking back: they open, empty and full, to owners alone; what cannot be read is said."""

from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from sales.models import OrderState
from sales.services.deliveries import order_deliver
from sales.services.payments import invoice_issue
from tests.make import make_log
from tests.sales.make import make_dry_slab, make_order

PAGES = ("/sales/reports/", "/sales/reports/stock/", "/sales/reports/unpaid/")


@pytest.fixture
def sold(yard):
    """A slab of a log with a cost, delivered today and invoiced."""
    slab = make_dry_slab("W-1", log=make_log("L-W", cost=Decimal("60.00")), position=1, price=Decimal("310.00"))
    order = make_order(slabs=[slab], state=OrderState.ORDERED)
    order_deliver(by=None, order=order, unscanned=True)
    invoice_issue(by=None, order=order)
    return order


@pytest.mark.parametrize("page", PAGES)
def test_pages_open_in_an_empty_yard_and_say_what_to_do(page, owner_client):
    assert owner_client.get(page).status_code == 200


def test_sold_page_shows_sale_cost_and_what_is_left(sold, owner_client):
    html = owner_client.get("/sales/reports/").content.decode()
    for words in ("$310.00", "$60.00", "$250.00", "L-W"):
        assert words in html


def test_unpaid_page_names_the_invoice_and_what_is_left(sold, owner_client):
    html = owner_client.get("/sales/reports/unpaid/").content.decode()
    sold.refresh_from_db()
    assert sold.invoice_number in html
    assert f"${sold.total:.2f} still to come" in html


def test_a_large_yard_is_added_up_when_somebody_asks(sold, owner_client, monkeypatch):
    monkeypatch.setattr("sales.services.stock_value.ADDED_AT_ONCE", 0)
    assert "Nothing is added up yet" in owner_client.get("/sales/reports/stock/").content.decode()
    asked = owner_client.get("/sales/reports/stock/?start=2020-01-01&end=2020-12-31").content.decode()
    assert "Nothing is added up yet" not in asked
    assert "Stock at cost" in asked


def test_days_the_wrong_way_round_are_said_and_the_last_year_is_shown(sold, owner_client):
    html = owner_client.get("/sales/reports/?start=2026-03-02&end=2026-03-01").content.decode()
    assert "The first day is after the last" in html
    assert "$310.00" in html
    assert owner_client.get("/sales/reports/?start=nonsense").status_code == 200


@pytest.mark.parametrize("name", ["invoices", "payments", "lines", "stock"])
def test_lists_are_downloaded_as_csv(name, sold, owner_client):
    answer = owner_client.get(f"/sales/reports/{name}/csv/?dialect=semicolon")
    assert answer["Content-Type"].startswith("text/csv")
    assert f"{timezone.localdate()}" in answer["Content-Disposition"]
    assert b";" in b"".join(answer.streaming_content)


def test_unknown_list_is_not_there(owner_client):
    assert owner_client.get("/sales/reports/nonsense/csv/").status_code == 404


@pytest.mark.parametrize("page", [*PAGES, "/sales/reports/invoices/csv/"])
def test_only_owners_look_back(page, hand_client, viewer_client):
    assert hand_client.get(page).status_code == 403
    assert viewer_client.get(page).status_code == 403
    assert Client().get(page).status_code == 302

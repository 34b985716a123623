"""The page of promises, and the button that works one out."""

from datetime import timedelta

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from sales.models import Order, OrderState
from tests.sales.make import make_order


def kept_order():
    order = make_order(slabs=0)
    day = timezone.localdate()
    Order.objects.filter(pk=order.pk).update(
        state=OrderState.DELIVERED, promise_made_on=day - timedelta(days=60), promise_date=day - timedelta(days=5),
        promise_middle=day - timedelta(days=20), kept_on=day - timedelta(days=8),
    )  # fmt: skip
    return order


def test_page_says_how_promises_have_held(owner_client, yard):
    assert "No promise has been given yet" in owner_client.get("/sales/promises/").content.decode()
    kept_order()
    page = owner_client.get("/sales/promises/").content.decode()
    assert "Of 1 promise 1 held" in page
    assert "Held" in page


def test_page_of_promises_costs_the_same_whatever_there_is(owner_client, yard):
    kept_order()
    with CaptureQueriesContext(connection) as one:
        owner_client.get("/sales/promises/")
    for _ in range(5):
        kept_order()
    with CaptureQueriesContext(connection) as six:
        owner_client.get("/sales/promises/")
    assert len(one) == len(six)


def test_date_is_worked_out_on_asking_and_shown(owner_client, yard):
    order = make_order(slabs=1)
    response = owner_client.post(f"/sales/orders/{order.pk}/promise/")
    assert response.url == f"/sales/orders/{order.pk}/"
    assert "holds nine times in ten" in owner_client.get(response.url).content.decode()


def test_what_cannot_be_promised_is_said(owner_client, yard):
    order = make_order(slabs=0)
    page = owner_client.post(f"/sales/orders/{order.pk}/promise/", follow=True).content.decode()
    assert "There is no wood in it to promise" in page


def test_stranger_works_out_nothing(client, yard):
    order = make_order(slabs=1)
    assert client.post(f"/sales/orders/{order.pk}/promise/").status_code in (302, 403)
    order.refresh_from_db()
    assert order.promise_made_on is None
    assert client.get("/sales/promises/").status_code in (302, 403)

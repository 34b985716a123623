"""An issued document as a file: who may have it, under what name, and that it does not change with the order."""

from decimal import Decimal

import pypdfium2
import pytest
from django.test import Client

from sales.models import OrderState
from sales.services.order_terms import order_change
from sales.services.quotes import quote_take_back
from tests.sales.make import make_buyer, make_dry_slab, make_order


@pytest.fixture
def quote(yard):
    slab = make_dry_slab("W-1", price=Decimal("310.00"))
    order = make_order(slabs=[slab], buyer=make_buyer("Anna Lind"), state=OrderState.QUOTED, note="The first words.")
    return order.documents.get()


def text_of(answer):
    return pypdfium2.PdfDocument(answer.content)[0].get_textpage().get_text_range()


def test_file_opens_in_the_browser_under_a_name_that_says_what_it_is(quote, hand_client):
    answer = hand_client.get(f"/sales/documents/{quote.pk}/pdf/")
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == f'inline; filename="quote-{quote.number.lower()}.pdf"'
    assert "$310.00" in text_of(answer)
    assert f"/sales/documents/{quote.pk}/pdf/" in hand_client.get(f"/sales/documents/{quote.pk}/").content.decode()


def test_file_stays_as_it_was_whatever_becomes_of_the_order(quote, hand_client):
    before = hand_client.get(f"/sales/documents/{quote.pk}/pdf/").content
    quote_take_back(by=None, order=quote.order)
    quote.order.refresh_from_db()
    order_change(by=None, order=quote.order, version=quote.order.version, note="Other words.")
    after = hand_client.get(f"/sales/documents/{quote.pk}/pdf/")
    assert after.content == before
    assert "The first words." in text_of(after)


def test_viewers_strangers_and_wrong_numbers_get_no_file(quote, viewer_client, hand_client):
    path = f"/sales/documents/{quote.pk}/pdf/"
    assert viewer_client.get(path).status_code == 403
    assert Client().get(path).status_code == 302
    assert hand_client.get("/sales/documents/999999/pdf/").status_code == 404

"""A buyer's private link: what it shows, and everything that it must not show, to the buyer or to anybody else."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from sales.models import BuyerLink, OrderState
from sales.services.buyer_links import buyer_link_make, buyer_link_withdraw
from sales.services.link_guesses import MOST_WRONG
from sales.services.order_terms import order_change
from sales.services.orders import order_cancel
from sales.services.quotes import quote_issue, quote_take_back
from tests.make import make_log
from tests.sales.make import make_buyer, make_dry_slab, make_order
from yard.services.people import token_hash
from yard.services.refused import Refused

pytestmark = pytest.mark.usefixtures("yard")
WRONG = "A" * 32


@pytest.fixture(autouse=True)
def _no_guesses_yet():
    cache.clear()


@pytest.fixture
def quoted():
    """A quote with secrets of the yard all round it, and somebody else's order beside."""
    log = make_log("LOG-SECRET", cost=Decimal("777.77"), where_from="Secret Hollow")
    slab = make_dry_slab("W-1", log=log, position=1, price=Decimal("310.00"), note="secret note of the slab")
    buyer = make_buyer("Anna Lind", note="secret note of the buyer", email="anna@example.org")
    order = make_order(slabs=[slab], buyer=buyer, own_note="secret note of the order", note="For the long table.")
    quote_issue(by=None, order=order)
    make_order(slabs=[make_dry_slab("X-9", price=Decimal("99.00"))], buyer=make_buyer("Bo Other"))
    order.refresh_from_db()
    return order


def link_to(order, **asked):
    _, secret = buyer_link_make(by=None, order=order, **asked)
    return f"/quote/{secret}/"


def test_link_shows_the_quote_without_logging_in(quoted):
    page = Client().get(link_to(quoted))
    html = page.content.decode()
    assert page.status_code == 200
    for words in ("W-1", "$310.00", "Anna Lind", "For the long table.", "Holds until"):
        assert words in html


def test_page_holds_nothing_else_of_the_yard(quoted):
    html = Client().get(link_to(quoted)).content.decode()
    for secret in ("secret", "Secret Hollow", "LOG-SECRET", "777.77", "Bo Other", "X-9", "99.00", "csrf", "/slabs/",
                   "/orders/", "/login/", "Today"):  # fmt: skip
        assert secret not in html


def test_pdf_holds_the_same_quote(quoted):
    import pypdfium2

    answer = Client().get(f"{link_to(quoted)}pdf/")
    text = pypdfium2.PdfDocument(answer.content)[0].get_textpage().get_text_range()
    assert answer["Content-Type"] == "application/pdf"
    assert "W-1" in text
    assert "secret" not in text


@pytest.mark.parametrize("end", ["", "pdf/"])
def test_no_cache_keeps_it_and_no_other_site_is_told(quoted, end):
    address = link_to(quoted)
    for path in (f"{address}{end}", f"/quote/{WRONG}/{end}"):
        answer = Client().get(path)
        assert answer["Cache-Control"] == "no-store"
        assert answer["Referrer-Policy"] == "no-referrer"
        assert "noindex" in answer["X-Robots-Tag"]
        assert not answer.cookies


def test_secret_is_kept_as_a_hash_alone(quoted):
    link, secret = buyer_link_make(by=None, order=quoted)
    assert len(secret) >= 32  # 24 random bytes
    assert secret not in str(BuyerLink.objects.filter(pk=link.pk).values().get())
    assert Client().get(f"/quote/{link.token_hash}/").status_code == 404


def test_all_wrong_addresses_get_the_same_answer(quoted):
    right = link_to(quoted)
    answers = {Client().get(path).content for path in (f"/quote/{WRONG}/", "/quote/x/", f"{right[:-2]}x/")}
    assert len(answers) == 1
    assert Client().get(f"/quote/{WRONG}/").status_code == 404


def test_run_out_withdrawn_and_cancelled_are_told_alike(quoted):
    withdrawn = link_to(quoted)
    buyer_link_withdraw(by=None, link=BuyerLink.objects.get())
    run_out = link_to(quoted)
    BuyerLink.objects.filter(withdrawn_at=None).update(expires_on=timezone.localdate() - timedelta(days=1))
    answers = [Client().get(path) for path in (withdrawn, run_out, f"{run_out}pdf/")]
    cancelled = link_to(quoted)
    order_cancel(by=None, order=quoted, reason="changed their mind")
    answers.append(Client().get(cancelled))
    assert [answer.status_code for answer in answers] == [410] * 4
    assert len({answer.content for answer in answers}) == 1
    assert "W-1" not in answers[0].content.decode()


def test_link_opens_on_its_last_day(quoted):
    assert Client().get(link_to(quoted, expires_on=timezone.localdate())).status_code == 200


def test_guessing_is_stopped_for_everybody_at_that_address(quoted):
    right = link_to(quoted)
    for number in range(MOST_WRONG):
        assert Client().get(f"/quote/{number:032}/").status_code == 404
    waiting = Client().get(f"/quote/{WRONG}/")
    assert waiting.status_code == 429
    assert Client().get(right).content == waiting.content  # a right one is not told from a wrong one meanwhile
    assert Client().get(right, REMOTE_ADDR="192.0.2.7").status_code == 200


def test_quote_that_was_taken_back_says_so(quoted):
    address = link_to(quoted)
    quote_take_back(by=None, order=quoted)
    assert "working on a new version" in Client().get(address).content.decode()


def test_new_quote_takes_the_place_of_the_old_one(quoted):
    address = link_to(quoted)
    quote_take_back(by=None, order=quoted)
    quoted.refresh_from_db()
    order_change(by=None, order=quoted, version=quoted.version, note="For the round table.")
    quote_issue(by=None, order=quoted)
    html = Client().get(address).content.decode()
    assert "round table" in html
    assert "long table" not in html


def test_opening_is_counted_but_not_that_of_the_yards_own_people(quoted, owner_client):
    address = link_to(quoted)
    owner_client.get(address)
    Client().head(address)
    assert BuyerLink.objects.get().seen_times == 0
    Client().get(address)
    assert BuyerLink.objects.get().seen_times == 1


def test_only_an_owner_makes_and_withdraws_links(quoted, owner_client, hand_client, viewer_client):
    page = f"/sales/orders/{quoted.pk}/links/"
    for client in (hand_client, viewer_client):
        assert client.post(page, {}).status_code == 403
    assert Client().post(page, {}).status_code == 302
    made = owner_client.post(page, {"expires_on": ""})
    address = made.context["link"]
    assert made["Cache-Control"] == "no-store"
    assert address not in owner_client.get(page).content.decode()
    path = address.removeprefix("http://testserver")
    assert Client().get(path).status_code == 200
    owner_client.post(f"/sales/links/{BuyerLink.objects.get().pk}/withdraw/")
    assert Client().get(path).status_code == 410


def test_link_needs_a_quote_and_a_day_to_come(quoted, owner_client):
    with pytest.raises(Refused, match="no quote yet"):
        buyer_link_make(by=None, order=make_order(slabs=1))
    answer = owner_client.post(f"/sales/orders/{quoted.pk}/links/", {"expires_on": "2020-01-01"})
    assert answer.status_code == 422
    assert "That day has passed" in answer.content.decode()


def test_link_of_an_order_that_was_never_quoted_cannot_be_opened(quoted):
    """An inquiry's prices are not yet for the buyer's eyes."""
    inquiry = make_order(slabs=1, state=OrderState.INQUIRY)
    BuyerLink.objects.create(order=inquiry, token_hash=token_hash(WRONG), expires_on=date(2100, 1, 1))
    assert Client().get(f"/quote/{WRONG}/").status_code == 410

"""Wishes: what is like them, who is told, once of each piece, and of nothing that is promised or kept."""

from datetime import timedelta
from decimal import Decimal
from smtplib import SMTPRecipientsRefused

import pytest
from django.core import mail
from django.db import connection
from django.utils import timezone

from sales.models import OrderState, Wish
from sales.services.sale_settings import sale_settings_change, the_sale_settings
from sales.services.wish_mail import wishes_tell
from sales.services.wish_matches import ready_counts, wish_ready
from sales.services.wishes import wish_add, wish_change, wish_close, wish_words
from tests.make import make_slab
from tests.sales.make import make_buyer, make_dry_slab, make_order, make_owner
from yard.models import History
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.refused import Refused

pytestmark = pytest.mark.usefixtures("yard")
OAK = "oak-northern-red"


@pytest.fixture(autouse=True)
def _mail_is_set_up(settings):
    settings.EMAIL_URL = "smtp://mail.example.org"
    settings.PUBLIC_URL = "https://yard.example.org"


def wish(buyer=None, **fields):
    buyer = buyer or make_buyer("Anna", email="anna@example.org")
    return wish_add(by=None, buyer=buyer, **({"species_key": OAK, "tell_by_email": True} | fields))


@pytest.mark.parametrize(
    ("asked", "is_like_it"),
    [
        ({}, True),
        ({"species_key": "walnut-black"}, False),
        ({"quarters": 8.0}, True),
        ({"quarters": 4.0}, False),
        ({"kind": "board"}, False),
        # the mean width is 16.5 in by trapezoids, and shrinks by 8.6% x 22/30 = 6.3% to 8%: 15.46 in
        ({"min_width_in": 15.4}, True),
        ({"min_width_in": 15.5}, False),
        ({"length_in": 96.0}, True),
        ({"length_in": 96.5}, False),
        ({"grade": "1C"}, True),  # it is a Selects
        ({"grade": "FAS"}, False),
        ({"figure": "CURL"}, True),
        ({"figure": "quilt"}, False),
        ({"figure": "*"}, True),
        ({"target_mc_pct": 7.0}, True),  # called dry at 8.0: within a point
        ({"target_mc_pct": 6.9}, False),
    ],
)
def test_each_condition_finds_what_is_like_it_and_nothing_else(asked, is_like_it):
    slab = make_dry_slab(grade="SEL", figure="some curl")
    assert (slab in wish_ready(wish(**asked))) is is_like_it


def test_only_wood_that_is_free_is_ready():
    make_slab()
    make_dry_slab(hold_back=True)
    make_dry_slab(owner=make_owner())
    make_order(slabs=[make_dry_slab(price=Decimal(10))], state=OrderState.ORDERED)
    free = make_dry_slab()
    one = wish()
    assert list(wish_ready(one)) == [free]
    assert ready_counts([one]) == {one.pk: (1, pytest.approx(free.green_bf))}


def test_buyer_is_told_of_each_piece_once():
    one = wish()
    assert wishes_tell() == ""
    first = make_dry_slab("W-1")
    assert wishes_tell() == "1 buyer told of wood that is ready"
    assert wishes_tell() == ""
    second = make_dry_slab("W-2")
    wishes_tell()
    assert [message.to for message in mail.outbox] == [["anna@example.org"]] * 2
    assert "W-1" in mail.outbox[0].body
    assert "W-1" not in mail.outbox[1].body
    one.refresh_from_db()
    assert one.told_of == [first.pk, second.pk]


def test_message_says_what_and_where_and_gives_prices_only_if_they_are_public():
    wish()
    make_dry_slab("W-1", price=Decimal("310.00"))
    sale_settings_change(by=None, version=the_sale_settings().version, public_open=True, public_contact="555 0100")
    wishes_tell()
    body = mail.outbox[0].body
    where = "https://yard.example.org/for-sale/"
    for words in ("northern red oak", "W-1", "MC 8.0%", where, "555 0100", "Nothing is held"):
        assert words in body
    assert "310" not in body
    sale_settings_change(by=None, version=the_sale_settings().version, public_prices=True)
    make_dry_slab("W-2", price=Decimal("320.00"))
    wishes_tell()
    assert "$320.00" in mail.outbox[1].body


def test_nobody_is_told_without_email_or_when_they_did_not_ask(settings):
    make_dry_slab()
    wish(tell_by_email=False)
    closed = wish()
    wish_close(by=None, wish=closed)
    hidden = make_buyer(email="h@example.org")
    wish(buyer=hidden)
    type(hidden).objects.filter(pk=hidden.pk).update(hidden_at="2026-01-01T00:00:00Z")
    wishes_tell()
    wish()
    settings.EMAIL_URL = ""
    wishes_tell()
    assert mail.outbox == []


def test_message_that_could_not_be_sent_is_tried_again(monkeypatch):
    one = wish()
    make_dry_slab()

    def broken(*args, **more):
        raise OSError("no line")

    monkeypatch.setattr("sales.services.wish_mail.send_mail", broken)
    assert wishes_tell() == "1 could not be told and is tried again: the mail server does not answer"
    one.refresh_from_db()
    assert (one.told_at, one.told_of, one.trouble) == (None, [], "the mail server does not answer")
    monkeypatch.undo()
    wishes_tell()
    one.refresh_from_db()
    assert (len(mail.outbox), one.trouble) == (1, "")


def test_one_bad_address_holds_up_nobody_else(monkeypatch):
    for name in ("Anna", "Ben"):
        wish(buyer=make_buyer(name, email=f"{name.lower()}@example.org"))
    make_dry_slab()

    def refuses_anna(subject, body, sender, to):
        if to == ["anna@example.org"]:
            raise SMTPRecipientsRefused({})
        mail.EmailMessage(subject, body, sender, to).send()

    monkeypatch.setattr("sales.services.wish_mail.send_mail", refuses_anna)
    assert wishes_tell().startswith("1 buyer told of wood that is ready; 1 could not be told")
    assert [message.to for message in mail.outbox] == [["ben@example.org"]]


def test_wish_that_another_server_is_telling_is_left_to_it_for_a_while():
    one = wish()
    make_dry_slab()
    Wish.objects.filter(pk=one.pk).update(telling_since=timezone.now() - timedelta(minutes=1))
    assert wishes_tell() == ""
    Wish.objects.filter(pk=one.pk).update(telling_since=timezone.now() - timedelta(minutes=16))
    assert wishes_tell() == "1 buyer told of wood that is ready"


@pytest.mark.django_db(transaction=True)
def test_no_message_is_sent_while_the_database_waits(monkeypatch):
    wish()
    make_dry_slab()
    waits = []
    monkeypatch.setattr("sales.services.wish_mail.send_mail", lambda *_: waits.append(connection.in_atomic_block))
    wishes_tell()
    assert waits == [False]


def test_amount_is_told_only_once_so_much_is_ready():
    wish(bf_wanted=30.0)  # a slab is 22 bf
    make_dry_slab()
    wishes_tell()
    assert mail.outbox == []
    make_dry_slab()
    wishes_tell()
    assert "2 pieces ready" in mail.outbox[0].subject


def test_many_pieces_are_one_message_that_names_ten():
    wish()
    for number in range(12):
        make_dry_slab(f"M-{number:02}")
    wishes_tell()
    (message,) = mail.outbox
    assert message.body.count("M-") == 10
    assert "and 2 more" in message.body


def test_wish_says_what_wood_and_email_needs_an_address():
    with pytest.raises(Refused, match="Say what wood"):
        wish(species_key="", words="something nice")
    with pytest.raises(Refused, match="no e-mail address"):
        wish(buyer=make_buyer())
    one = wish(quarters=8.0, min_width_in=20.0, grade="1C", bf_wanted=150.0)
    assert wish_words(one) == "150 bf of 8/4 northern red oak, 20 in and wider, 1C and better"


def test_two_people_changing_a_wish_notice_each_other_and_the_history_tells():
    one = wish()
    wish_change(by=None, wish=one, version=1, quarters=8.0)
    with pytest.raises(ChangedMeanwhile):
        wish_change(by=None, wish=one, version=1, quarters=4.0)
    assert Wish.objects.get().quarters == 8.0
    actions = History.objects.filter(table="contact", row_id=one.buyer_id).values_list("action", flat=True)
    assert {"wish added", "wish changed"} <= set(actions)

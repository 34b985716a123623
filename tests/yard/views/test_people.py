"""Letting people in, giving roles, closing accounts."""

import re
from datetime import timedelta

import pytest
from django.contrib.auth.tokens import default_token_generator
from django.utils import timezone
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from tests.make import PASSWORD, make_invite, make_person
from yard.models import History, Invite, Person

JOIN = {"username": "ada", "new_password1": "quite a long one", "new_password2": "quite a long one"}


def link_on(page) -> str:
    return re.search(r'value="http://testserver(/invite/[^"]+)"', page.content.decode())[1]


def test_owner_makes_a_link_and_somebody_joins_with_it_as_a_hand(owner_client, client):
    link = link_on(owner_client.post("/people/", {"role": "hand"}))
    assert client.get(link).status_code == 200
    answer = client.post(link, JOIN)
    assert (answer.status_code, answer.headers["Location"]) == (302, "/")
    ada = Person.objects.get(username="ada")
    assert ada.role == "hand"
    assert client.get("/me/").status_code == 200, "who joined is logged in"
    assert History.objects.filter(table="person", row_id=ada.pk, action="joined").exists()


def test_link_is_kept_nowhere_in_the_database(owner_client):
    token = link_on(owner_client.post("/people/", {"role": "viewer"})).split("/")[2]
    assert not Invite.objects.filter(token_hash__contains=token).exists()


def test_link_works_once(db, client):
    make_invite(token="abc")
    assert client.post("/invite/abc/", JOIN).status_code == 302
    client.logout()
    answer = client.post("/invite/abc/", {**JOIN, "username": "bert"})
    assert answer.status_code == 410
    assert "has been used" in answer.content.decode()
    assert not Person.objects.filter(username="bert").exists()


@pytest.mark.parametrize(
    "spoiled", [{"expires_at": timezone.now() - timedelta(seconds=1)}, {"withdrawn_at": timezone.now()}]
)
def test_link_that_ran_out_or_was_withdrawn_is_refused(db, client, spoiled):
    make_invite(token="abc", **spoiled)
    assert client.get("/invite/abc/").status_code == 410
    assert client.get("/invite/guessed/").status_code == 410


def test_taken_name_is_refused_in_any_letters_and_what_was_typed_is_kept(db, client):
    make_person("hand", "Ada")
    make_invite(token="abc")
    answer = client.post("/invite/abc/", JOIN)
    assert answer.status_code == 422
    assert "Somebody has this name already" in answer.content.decode()
    assert 'value="ada"' in answer.content.decode()


def test_weak_password_is_refused(db, client):
    make_invite(token="abc")
    answer = client.post("/invite/abc/", {**JOIN, "new_password1": "password", "new_password2": "password"})
    assert answer.status_code == 422
    assert "too short" in answer.content.decode()


def test_owner_withdraws_a_link(owner_client):
    invite = make_invite()
    owner_client.post(f"/people/links/{invite.pk}/withdraw/")
    invite.refresh_from_db()
    assert not invite.is_open


def test_owner_changes_a_role(owner_client, hand):
    owner_client.post(f"/people/{hand.pk}/", {"do": "role", "role": "viewer"})
    hand.refresh_from_db()
    assert hand.role == "viewer"
    assert History.objects.get(action="role changed").changes == {"role": ["hand", "viewer"]}


@pytest.mark.parametrize("sent", [{"do": "role", "role": "hand"}, {"do": "close"}])
def test_only_owner_stays_owner(owner_client, owner, sent):
    answer = owner_client.post(f"/people/{owner.pk}/", sent)
    assert answer.status_code == 422
    assert "is the only owner" in answer.content.decode()
    owner.refresh_from_db()
    assert (owner.role, owner.is_active) == ("owner", True)


def test_closing_an_account_ends_its_log_ins_and_opening_lets_it_in_again(owner_client, hand_client, hand):
    assert hand_client.get("/me/").status_code == 200
    owner_client.post(f"/people/{hand.pk}/", {"do": "close"})
    assert hand_client.get("/me/").status_code == 302
    owner_client.post(f"/people/{hand.pk}/", {"do": "open"})
    assert hand_client.post("/login/", {"username": hand.username, "password": PASSWORD}).status_code == 302


def test_link_for_a_forgotten_password_works_once(owner_client, client, hand):
    page = owner_client.post(f"/people/{hand.pk}/", {"do": "link"}).content.decode()
    link = re.search(r'value="http://testserver(/password/[^"]+)"', page)[1]
    fresh = {"new_password1": "another long one", "new_password2": "another long one"}
    assert client.get(link).status_code == 200
    assert client.post(link, fresh).status_code == 302
    client.logout()
    assert client.post(link, fresh).status_code == 410
    assert client.post("/login/", {"username": hand.username, "password": "another long one"}).status_code == 302


@pytest.mark.parametrize("who", ["", "x", "zzzz"])
def test_bent_password_link_is_refused(db, client, who):
    who = who or urlsafe_base64_encode(force_bytes(99999))
    assert client.get(f"/password/{who}/1-2/").status_code == 410


def test_password_link_of_a_closed_account_is_refused(client, hand):
    token = default_token_generator.make_token(hand)
    hand.is_active = False
    hand.save()
    assert client.get(f"/password/{urlsafe_base64_encode(force_bytes(hand.pk))}/{token}/").status_code == 410

"""Coming and going."""

import re

import pytest

from tests.make import PASSWORD


def send(client, name, password, **more):
    return client.post("/login/", {"username": name, "password": password, **more})


def test_person_logs_in_by_name_and_goes_on(client, hand):
    answer = send(client, hand.username, PASSWORD, next="/me/")
    assert answer.status_code == 302
    assert answer.headers["Location"] == "/me/"


def test_capital_letters_of_the_name_do_not_matter(client, hand):
    assert send(client, hand.username.upper(), PASSWORD).status_code == 302


def test_wrong_password_is_refused_and_the_name_is_kept(client, hand):
    answer = send(client, hand.username, "something else")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "do not fit together" in page
    assert f'value="{hand.username}"' in page


def test_person_is_not_led_to_another_site(client, hand):
    assert send(client, hand.username, PASSWORD, next="https://elsewhere.example/").headers["Location"] == "/"


def test_sixth_wrong_password_says_how_long_to_wait_and_the_right_one_waits_too(client, hand):
    answers = [send(client, hand.username, f"wrong {n}") for n in range(6)]
    assert answers[-1].status_code == 429
    minutes = re.search(r"Try again in (\d+) minutes", answers[-1].content.decode())
    assert minutes
    assert 9 <= int(minutes[1]) <= 10
    assert send(client, hand.username, PASSWORD).status_code == 429


def test_closed_account_is_refused(client, hand):
    hand.is_active = False
    hand.save()
    assert send(client, hand.username, PASSWORD).status_code == 422


def test_empty_installation_says_how_to_begin(client, db):
    assert "python manage.py invite" in client.get("/login/").content.decode()


@pytest.mark.parametrize("method", ["get", "post"])
def test_log_out_takes_a_post(hand_client, method):
    answer = getattr(hand_client, method)("/logout/")
    assert answer.status_code == (405 if method == "get" else 302)

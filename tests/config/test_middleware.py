"""What happens around every request."""

import pytest
from django.test import RequestFactory
from django.utils import timezone

from tests.make import make_person, make_yard
from yard.config.client_address import client_address
from yard.config.middleware import YardNow
from yard.shown_units import shown


def seen_in_request(person):
    """The zone and units that a view runs under for this person."""
    seen = {}

    def view(request):
        seen["zone"], seen["shown"] = timezone.get_current_timezone_name(), shown()

    request = RequestFactory().get("/")
    request.user = person
    YardNow(view)(request)
    return seen


def test_times_are_shown_in_the_zone_of_the_yard_and_put_back(db):
    make_yard(time_zone="America/Regina")
    assert seen_in_request(make_person())["zone"] == "America/Regina"
    assert timezone.get_current_timezone_name() == "UTC"


@pytest.mark.parametrize(
    ("yards", "persons", "units"),
    [
        ("imperial", "", "imperial"),
        ("imperial", "metric", "metric"),
        ("metric", "", "metric"),
        ("metric", "imperial", "imperial"),
    ],
)
def test_person_reads_own_units_or_those_of_the_yard(db, yards, persons, units):
    make_yard(units=yards, currency="CAD")
    seen = seen_in_request(make_person(units=persons))["shown"]
    assert (seen.units, seen.currency) == (units, "CAD")
    assert shown().units == "imperial", "nothing stays behind"


def test_address_of_a_client_is_the_peer_unless_a_proxy_is_said_to_stand_before(rf, settings):
    request = rf.get("/", REMOTE_ADDR="10.0.0.9", HTTP_X_FORWARDED_FOR="1.2.3.4, 5.6.7.8")
    assert client_address(request) == "10.0.0.9"
    settings.BEHIND_PROXY = True
    assert client_address(request) == "5.6.7.8", "only what the proxy itself wrote counts"


def test_page_and_fragment_are_kept_apart_and_no_cache_keeps_a_page(hand_client):
    answer = hand_client.get("/more/")
    assert "HX-Request" in answer.headers["Vary"]
    assert "private" in answer.headers["Cache-Control"]


def test_health_says_no_more_than_it_has_to(client, db):
    answer = client.get("/health/")
    assert (answer.status_code, answer.json()) == (200, {"state": "well"})


def test_wrong_csrf_token_is_explained(db):
    from django.test import Client

    answer = Client(enforce_csrf_checks=True).post("/login/", {"username": "a", "password": "b"})
    assert answer.status_code == 403
    assert "Please send that again" in answer.content.decode()


def test_unknown_address_is_explained(client, db):
    answer = client.get("/no/such/page/")
    assert answer.status_code == 404
    assert "Nothing here" in answer.content.decode()

"""An empty yard is set up on one page, all or nothing."""

import pytest
from django.test import Client

from tests.make import make_person
from yard.models import Bay, History, Yard

GIVEN = {
    "name": "Hollow Oak", "city_key": "WI-Madison", "lat_deg": "", "lon_deg": "", "elevation_ft": "",
    "time_zone": "America/Chicago", "units": "imperial", "log_rule": "doyle", "currency": "USD", "tax_pct": "5.5",
    "bays-TOTAL_FORMS": "4", "bays-INITIAL_FORMS": "0",
    "bays-0-name": "Fence", "bays-0-kind": "outdoors", "bays-0-places": "6",
    "bays-1-name": "Shed", "bays-1-kind": "shed", "bays-1-places": "2",
    "bays-2-name": "", "bays-2-kind": "outdoors", "bays-2-places": "1",
    "bays-3-name": "", "bays-3-kind": "outdoors", "bays-3-places": "1",
}  # fmt: skip


@pytest.fixture
def new_owner_client(db):
    client = Client()
    client.force_login(make_person("owner"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_owner_of_an_empty_yard_is_led_to_set_up(new_owner_client):
    assert new_owner_client.get("/").headers["Location"] == "/set-up/"
    assert new_owner_client.get("/set-up/").status_code == 200


def test_city_fills_degrees_and_height(new_owner_client):
    assert new_owner_client.post("/set-up/", GIVEN).headers["Location"] == "/"
    yard = Yard.objects.get()
    assert (yard.name, yard.log_rule, yard.place_label) == ("Hollow Oak", "doyle", "Madison, WI")
    assert (yard.lat_deg, yard.lon_deg) == pytest.approx((43.13, -89.33), abs=0.2)
    assert yard.elevation_ft == pytest.approx(860, abs=15)
    assert list(Bay.objects.values_list("name", "kind", "places")) == [("Fence", "outdoors", 6), ("Shed", "shed", 2)]
    assert History.objects.filter(table="yard", action="set up").exists()
    assert new_owner_client.get("/").status_code == 200


def test_own_degrees_and_height_count_and_the_climate_says_how_far(new_owner_client):
    own = {"city_key": "", "lat_deg": "46.5", "lon_deg": "89.6 W", "elevation_ft": "400 m"}
    new_owner_client.post("/set-up/", GIVEN | own)
    yard = Yard.objects.get()
    assert (yard.lat_deg, yard.lon_deg) == (46.5, -89.6)
    assert yard.elevation_ft == pytest.approx(1312.3, abs=0.1)
    assert "miles from" in yard.place_label


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"city_key": ""}, "Choose a city"),
        ({"lat_deg": "43"}, "Give both degrees"),
        ({"lat_deg": "143", "lon_deg": "-89"}, "go up to 90"),
        ({"lat_deg": "north", "lon_deg": "-89"}, "decimal degrees"),
        ({"elevation_ft": "high"}, "860 ft"),
        ({"elevation_ft": "90000"}, "No yard lies there"),
        ({"currency": "dollars"}, "Three capital letters"),
        ({"tax_pct": "-1"}, "greater than or equal to 0"),
        ({"time_zone": "Mars/Base"}, "valid choice"),
        ({"bays-1-name": "fence"}, "Two bays have this name"),
        ({"bays-1-places": "0"}, "greater than or equal to 1"),
    ],
)
def test_bad_input_is_refused_beside_the_field_and_nothing_is_saved(new_owner_client, changed, words):
    answer = new_owner_client.post("/set-up/", GIVEN | changed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert 'value="Hollow Oak"' in page, "what was typed is kept"
    assert not Yard.objects.exists()
    assert not Bay.objects.exists()


def test_yard_is_set_up_once(owner_client):
    assert owner_client.post("/set-up/", GIVEN).headers["Location"] == "/settings/"
    assert Yard.objects.get().name == "Test yard"

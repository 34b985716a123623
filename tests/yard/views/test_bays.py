"""Bays: list, page, adding, changing, closing."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.make import make_bay, make_slab, make_stack
from yard.models import Bay, Sensor, Slab

NEW = "/bays/new/"


def typed(**more):
    return {
        "name": "North row", "kind": "outdoors", "places": "4", "air": "weather", "map_w": "3", "map_h": "2",
    } | more  # fmt: skip


def test_an_owner_adds_a_bay_with_the_next_free_place_on_the_map(owner_client, yard):
    make_bay("Row A", map_x=0, map_y=0, map_w=3, map_h=2)
    response = owner_client.post(NEW, typed())
    bay = Bay.objects.get(name="North row")
    assert response.url == reverse("yard:bay-page", args=[bay.pk])
    assert (bay.map_x, bay.map_y, bay.places, bay.air) == (3, 0, 4, "weather")


def test_offsets_may_be_below_nothing(owner_client, yard):
    owner_client.post(NEW, typed(air="offset", offset_temp_f="4,5", offset_rh_pct="−8"))
    bay = Bay.objects.get()
    assert (bay.offset_temp_f, bay.offset_rh_pct) == (4.5, -8.0)


def test_a_metric_person_types_offsets_and_temperatures_in_celsius(owner, owner_client, yard):
    owner.units = "metric"
    owner.save()
    owner_client.post(NEW, typed(name="Shed", air="offset", offset_temp_f="5", offset_rh_pct="0"))
    owner_client.post(NEW, typed(name="Store", kind="dry_store", air="steady", steady_temp_f="20", steady_rh_pct="40"))
    assert Bay.objects.get(name="Shed").offset_temp_f == pytest.approx(9.0)
    assert Bay.objects.get(name="Store").steady_temp_f == pytest.approx(68.0)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "required"),
        ({"name": "row a"}, "Another bay is called Row A"),
        ({"kind": "cave"}, "Not yet:"),
        ({"air": "steady"}, "Give the temperature that is held there"),
        ({"air": "sensor"}, "Choose the sensor"),
        ({"air": "offset", "offset_temp_f": "warm"}, "Type a difference"),
        ({"air": "offset", "offset_rh_pct": "inf"}, "Type a difference"),
        ({"places": "0"}, "Not yet:"),
        ({"map_x": "11", "map_y": "0"}, "12 squares wide"),
    ],
)
def test_a_bay_that_is_not_right_is_told_beside_the_field(owner_client, yard, wrong, words):
    make_bay("Row A")
    response = owner_client.post(NEW, typed() | wrong)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert Bay.objects.count() == 1


def test_a_bay_is_changed_and_two_people_notice_each_other(owner_client, yard):
    bay = make_bay("Row A", map_w=3, map_h=2)
    sensor = Sensor.objects.create(name="Pole")
    url = reverse("yard:bay-edit", args=[bay.pk])
    seen = typed(version=1, map_x="0", map_y="0")
    assert owner_client.post(url, seen | {"air": "sensor", "sensor": sensor.pk}).status_code == 302
    bay.refresh_from_db()
    assert (bay.name, bay.air, bay.sensor) == ("North row", "sensor", sensor)
    response = owner_client.post(url, seen | {"name": "South row"})
    assert response.status_code == 409
    assert Bay.objects.get(pk=bay.pk).name == "North row"


def test_the_page_tells_what_stands_there_its_air_and_who_stood_there_before(viewer_client, yard):
    bay = make_bay("Shed 2", "shed", air="offset", offset_temp_f=4.0, offset_rh_pct=-5.0)
    make_stack("ST-9", bay=bay)
    loose = make_slab("L-1")
    Slab.objects.filter(pk=loose.pk).update(bay=bay)
    page = viewer_client.get(reverse("yard:bay-page", args=[bay.pk])).content.decode()
    for words in ("Shed 2", "ST-9", "1 of 5 stacks", "The weather, 4 °F", "1 piece lies loose here", "L-1"):
        assert words in page


def test_a_bay_that_is_not_empty_is_not_closed_and_says_why(owner_client, yard):
    bay = make_bay("Row A")
    make_stack("ST-9", bay=bay)
    close = reverse("yard:bay-close", args=[bay.pk])
    assert "Row A is not empty: ST-9" in owner_client.post(close, follow=True).content.decode()
    empty = make_bay("Row B")
    owner_client.post(reverse("yard:bay-close", args=[empty.pk]))
    assert Bay.objects.get(pk=empty.pk).closed_on is not None
    assert "Closed" in owner_client.get("/bays/").content.decode()


def test_many_stacks_in_a_bay_take_no_more_queries_than_few(viewer_client, yard):
    bay, counts = make_bay("Row A"), []
    for many in (1, 6):
        for _ in range(many):
            make_stack(bay=bay, slabs=2)
        for url in ("/bays/", reverse("yard:bay-page", args=[bay.pk])):
            with CaptureQueriesContext(connection) as queries:
                assert viewer_client.get(url).status_code == 200
            counts.append(len(queries))
        make_bay()
    assert counts[:2] == counts[2:]


def test_hands_look_at_bays_and_owners_change_them(hand_client, client, yard):
    bay = make_bay()
    assert hand_client.get("/bays/").status_code == 200
    assert hand_client.get(NEW).status_code == 403
    assert hand_client.post(reverse("yard:bay-edit", args=[bay.pk])).status_code == 403
    assert hand_client.post(reverse("yard:bay-close", args=[bay.pk])).status_code == 403
    assert "/login/" in client.get("/bays/").url

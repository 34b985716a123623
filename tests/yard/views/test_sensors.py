"""Sensors through the screens: added, changed, their files looked at and kept."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.make import make_bay, make_sensor
from yard.models import Reading, Sensor, SensorDay

PLAIN = b"Time,Temp (F),Humidity\n2025-07-01 12:00,80.0,55\n2025-07-01 13:00,82.0,50\n"
COLUMNS = {"time": "Time", "temp": "Temp (F)", "rh": "Humidity", "temp_unit": "F", "date_order": "ymd"}


def text(answer):
    return answer.content.decode()


@pytest.fixture
def sensor(yard):
    return make_sensor("Post")


def send(client, sensor, content, name="july.csv"):
    return client.post(f"/sensors/{sensor.pk}/read/", {"file": SimpleUploadedFile(name, content)})


def choose(client, sensor, page, do="look", follow=True, **columns):
    token = re.search(r'name="token" value="([^"]+)"', text(page))[1]
    chosen = COLUMNS | columns | {"token": token, "do": do}
    return client.post(f"/sensors/{sensor.pk}/columns/", chosen, follow=follow)


def test_an_owner_adds_a_sensor_and_a_hand_reads_its_file(owner_client, hand_client, yard):
    answer = owner_client.post("/sensors/new/", {"name": "Post", "kind": "air", "is_outdoor": "on"})
    sensor = Sensor.objects.get()
    assert answer.headers["Location"] == f"/sensors/{sensor.pk}/"
    assert sensor.is_outdoor
    page = send(hand_client, sensor, PLAIN)
    assert 'value="Temp (F)" selected' in text(page)
    page = choose(hand_client, sensor, page)
    assert "Keep 2 readings" in text(page)
    assert not Reading.objects.exists()
    page = choose(hand_client, sensor, page, do="keep")
    assert "2 new readings are kept" in text(page)
    assert Reading.objects.count() == 2
    assert "time in “Time”" in text(hand_client.get(f"/sensors/{sensor.pk}/"))


def test_the_same_file_again_adds_nothing(hand_client, sensor):
    for words in ("2 new readings are kept.", "0 new readings are kept, 2 were known already"):
        page = choose(hand_client, sensor, send(hand_client, sensor, PLAIN), do="keep")
        assert words in text(page)
    assert Reading.objects.count() == 2


def test_the_unit_is_asked_for_and_the_choice_is_remembered(hand_client, sensor):
    content = b"When;T;H\n01.07.2025 12:00;26,7;55\n01.07.2025 13:00;27,0;50\n"
    page = send(hand_client, sensor, content)
    unsure = choose(hand_client, sensor, page, time="When", temp="T", rh="H", temp_unit="", date_order="dmy")
    assert unsure.status_code == 422
    assert re.search(r"field-temp_unit.*?This field is required", text(unsure), re.S)
    columns = {"time": "When", "temp": "T", "rh": "H", "temp_unit": "C", "date_order": "dmy", "decimal_comma": "on"}
    choose(hand_client, sensor, page, do="keep", **columns)
    assert Reading.objects.order_by("at").first().temp_f == pytest.approx(80.06)
    again = text(send(hand_client, sensor, content))
    assert '<option value="When" selected>' in again
    assert re.search(r'value="C"[^>]*checked', again)


def test_an_odd_unit_is_asked_about_before_it_is_kept(hand_client, sensor):
    rows = "".join(f"2025-07-{d:02d} 12:00,26.7,55\n" for d in range(1, 20)).encode()
    page = send(hand_client, sensor, b"Time,Temperature,RH\n" + rows)
    found = text(choose(hand_client, sensor, page, temp="Temperature", rh="RH", temp_unit="F"))
    assert "Is the unit right?" in found


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"one column\n1\n2\n", "one column alone"),
        (b"\x89PNG\x00\x01", "not a text file"),
    ],
)
def test_what_is_no_list_is_refused_beside_the_field(hand_client, sensor, content, words):
    answer = send(hand_client, sensor, content)
    assert answer.status_code == 422
    assert words in re.search(r'id="id_file_error".*?</p>', text(answer), re.S)[0]


def test_times_to_come_say_what_to_look_at_and_keep_the_choices(hand_client, sensor):
    page = send(hand_client, sensor, b"Time,Temp (F),Humidity\n05/12/2090 12:00,50,60\n")
    answer = choose(hand_client, sensor, page, do="keep", date_order="dmy")
    assert answer.status_code == 422
    assert "lie in the future" in text(answer)
    assert '<option value="dmy" selected>' in text(answer)
    assert not Reading.objects.exists()


def test_a_column_that_is_not_there_is_refused(hand_client, sensor):
    page = send(hand_client, sensor, PLAIN)
    assert choose(hand_client, sensor, page, temp="Nowhere").status_code == 422


def test_two_outdoor_sensors_and_a_doubled_name_are_refused_with_what_was_typed_kept(owner_client, sensor):
    Sensor.objects.filter(pk=sensor.pk).update(is_outdoor=True)
    answer = owner_client.post("/sensors/new/", {"name": "Wall", "kind": "air", "is_outdoor": "on"})
    assert answer.status_code == 422
    assert "Post stands for the yard&#x27;s weather already" in text(answer)
    assert 'value="Wall"' in text(answer)
    answer = owner_client.post("/sensors/new/", {"name": "post", "kind": "air"})
    assert "Another sensor is called Post" in text(answer)


def test_two_people_changing_one_sensor_see_each_other(owner_client, sensor):
    change = {"name": "Post", "kind": "air", "version": 1}
    assert owner_client.post(f"/sensors/{sensor.pk}/edit/", change | {"note": "north"}).status_code == 302
    answer = owner_client.post(f"/sensors/{sensor.pk}/edit/", change | {"note": "south"})
    assert answer.status_code == 409
    page = text(answer)
    assert "north" in page
    assert "south" in page


def test_a_sensor_in_a_bay_is_not_retired_and_a_free_one_is(owner_client, sensor):
    bay = make_bay("Shed", "shed", air="sensor", sensor=sensor)
    assert "The air of Shed" in text(owner_client.post(f"/sensors/{sensor.pk}/retire/", follow=True))
    bay.air, bay.sensor = "weather", None
    bay.save()
    assert "is retired" in text(owner_client.post(f"/sensors/{sensor.pk}/retire/", follow=True))


def test_short_days_are_marked_as_too_few(hand_client, sensor):
    SensorDay.objects.create(sensor=sensor, day="2025-07-01", temp_f=80, rh_pct=55, readings=2, hours=2)
    assert "too few" in text(hand_client.get(f"/sensors/{sensor.pk}/"))


def test_lists_take_as_many_queries_for_many_sensors_as_for_few(hand_client, sensor):
    def queries(path):
        with CaptureQueriesContext(connection) as captured:
            assert hand_client.get(path).status_code == 200
        return len(captured)

    few = queries("/sensors/"), queries(f"/sensors/{sensor.pk}/")
    for n in range(8):
        other = make_sensor(f"Sensor {n}")
        make_bay(f"Bay {n}", air="sensor", sensor=other)
        SensorDay.objects.create(sensor=sensor, day=f"2025-07-{n + 1:02d}", temp_f=80, rh_pct=55, readings=2, hours=2)
    assert (queries("/sensors/"), queries(f"/sensors/{sensor.pk}/")) == few


def test_roles_are_kept(viewer_client, hand_client, sensor):
    assert viewer_client.get("/sensors/").status_code == 200
    assert viewer_client.get(f"/sensors/{sensor.pk}/read/").status_code == 403
    assert hand_client.get("/sensors/new/").status_code == 403
    assert hand_client.post(f"/sensors/{sensor.pk}/retire/").status_code == 403

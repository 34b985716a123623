"""Alarms on their page, on Today, by e-mail and as a feed; and how readings that come in set them off."""

import json
import re
import xml.etree.ElementTree as ElementTree
from datetime import timedelta
from io import StringIO
from smtplib import SMTPException

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from kilns.models import Alarm, KilnSensor, Run, RunPhase, RunState
from kilns.services import alarm_mail
from kilns.services.alarms import alarms_check
from kilns.services.kiln_build import Build
from kilns.services.kiln_sensors import kiln_sensor_put
from tests.kilns.make import make_kiln
from tests.make import make_sensor
from yard.services.reading_tokens import reading_token_make
from yard.services.watches import watches_do

ATOM = "{http://www.w3.org/2005/Atom}"


def text(answer):
    return answer.content.decode()


def make_alarm(kiln, kind="hot-wood", **fields):
    chosen = {"level": "caution", "words": f"{kind} it is.", "what_to_do": "Look after it."} | fields
    return Alarm.objects.create(kiln=kiln, kind=kind, **chosen)


@pytest.fixture
def kiln(yard):
    return make_kiln("Box", build=Build())


@pytest.fixture
def mailing(settings):
    settings.ALARMS_TO = ["yard@example.org"]
    settings.PUBLIC_URL = "https://yard.local"


def test_open_alarms_stand_first_and_past_ones_below(viewer_client, kiln):
    make_alarm(kiln)
    make_alarm(kiln, "frozen", closed_at=timezone.now())
    page = text(viewer_client.get("/kilns/alarms/"))
    assert page.index("hot-wood it is.") < page.index("Past") < page.index("frozen it is.")
    assert "I have seen it" not in page, "a viewer looks"


def test_a_quiet_page_says_that_nothing_is_wrong(viewer_client, yard):
    assert "Nothing is wrong and nothing is due" in text(viewer_client.get("/kilns/alarms/"))


def test_who_has_seen_it_is_noted_once_and_the_alarm_stays_open(hand_client, hand, owner_client, kiln):
    alarm = make_alarm(kiln)
    answer = hand_client.post(f"/kilns/alarms/{alarm.pk}/seen/", {"next": "/"})
    assert answer.headers["Location"] == "/"
    owner_client.post(f"/kilns/alarms/{alarm.pk}/seen/", {"next": "https://elsewhere.example/"})
    alarm.refresh_from_db()
    assert (alarm.seen_by, alarm.closed_at) == (hand, None)
    page = text(hand_client.get("/kilns/alarms/"))
    assert f"seen by {hand}" in page
    assert "I have seen it" not in page


def test_next_never_leads_away_from_the_yard(hand_client, kiln):
    alarm = make_alarm(kiln)
    answer = hand_client.post(f"/kilns/alarms/{alarm.pk}/seen/", {"next": "https://elsewhere.example/"})
    assert answer.headers["Location"] == "/kilns/alarms/"


def test_a_kilns_page_shows_its_own_open_alarms(owner_client, kiln):
    make_alarm(kiln)
    make_alarm(make_kiln("Other", build=Build()), "frozen")
    page = text(owner_client.get(f"/kilns/{kiln.pk}/"))
    assert "hot-wood it is." in page
    assert "frozen it is." not in page


def test_viewers_do_not_see_alarms_off(viewer_client, kiln):
    alarm = make_alarm(kiln)
    assert viewer_client.post(f"/kilns/alarms/{alarm.pk}/seen/").status_code == 403


def test_today_tells_open_alarms_and_nothing_when_all_is_quiet(owner_client, kiln):
    assert "In the kilns" not in text(owner_client.get("/"))
    make_alarm(kiln, level="danger")
    page = text(owner_client.get("/"))
    assert "In the kilns" in page
    assert "hot-wood it is." in page
    assert "Look after it." in page


def test_pages_take_as_many_queries_for_many_alarms_as_for_few(owner_client, kiln):
    def queries(path):
        with CaptureQueriesContext(connection) as captured:
            assert owner_client.get(path).status_code == 200
        return len(captured)

    make_alarm(kiln)
    make_alarm(kiln, closed_at=timezone.now())
    few = queries("/kilns/alarms/"), queries("/")
    for n in range(12):
        make_alarm(make_kiln(f"Kiln {n}", build=Build()), about=str(n))
        make_alarm(kiln, closed_at=timezone.now())
    assert (queries("/kilns/alarms/"), queries("/")) == few


def feed_address(client):
    page = text(client.post("/kilns/alarms/address/", {"do": "renew"}))
    return re.search(r'id="one-time-link"[^>]*value="http://testserver([^"]+)"', page)[1]


def test_the_feed_has_a_private_address_that_can_be_renewed_and_ended(owner_client, kiln):
    make_alarm(kiln, what_to_do="Turn <it> down.")
    make_alarm(kiln, "frozen", closed_at=timezone.now())
    address = feed_address(owner_client)
    answer = Client().get(address)
    assert answer["Content-Type"].startswith("application/atom+xml")
    feed = ElementTree.fromstring(answer.content)
    entries = feed.findall(f"{ATOM}entry")
    assert [one.find(f"{ATOM}title").text for one in entries] == ["Box: Frozen load", "Box: Too hot for the wood"]
    assert "Turn <it> down." in entries[1].find(f"{ATOM}summary").text
    assert entries[0].find(f"{ATOM}summary").text.startswith("Over: ")
    assert len({one.find(f"{ATOM}id").text for one in entries}) == 2
    Alarm.objects.filter(kind="hot-wood").update(level="danger")
    worse = ElementTree.fromstring(Client().get(address).content).findall(f"{ATOM}entry")[1]
    assert worse.find(f"{ATOM}id").text != entries[1].find(f"{ATOM}id").text, "a reader shows it anew"
    newer = feed_address(owner_client)
    assert Client().get(address).status_code == 404
    assert Client().get(newer).status_code == 200
    assert newer.split("/")[-2] not in text(owner_client.get("/kilns/alarms/")), "shown once"
    owner_client.post("/kilns/alarms/address/", {"do": "end"})
    assert Client().get(newer).status_code == 404


def test_only_owners_give_the_feed_an_address(hand_client, kiln):
    assert hand_client.post("/kilns/alarms/address/", {"do": "renew"}).status_code == 403


def test_mail_goes_once_for_each_alarm_and_again_when_it_gets_worse(kiln, mailing):
    alarm = make_alarm(kiln)
    make_alarm(kiln, "frozen", closed_at=timezone.now())
    assert alarm_mail.alarms_mail() == 1
    assert alarm_mail.alarms_mail() == 0
    sent = mail.outbox[0]
    assert sent.to == ["yard@example.org"]
    assert sent.subject == "Test yard: Box: hot-wood it is."
    assert "Look after it." in sent.body
    assert "https://yard.local/kilns/alarms/" in sent.body
    make_alarm(kiln, "hold", level="info")
    make_alarm(kiln, "hot-layer", level="danger", opened_at=timezone.now() - timedelta(hours=1))
    Alarm.objects.filter(pk=alarm.pk).update(mailed_at=None)
    assert alarm_mail.alarms_mail() == 3
    assert mail.outbox[1].subject == "Test yard: Box: hot-layer it is. and 2 more"


def test_a_mail_that_cannot_be_sent_waits(kiln, mailing, monkeypatch):
    make_alarm(kiln)

    def fails(*_, **__):
        raise SMTPException("no such host")

    monkeypatch.setattr(alarm_mail, "send_mail", fails)
    assert alarm_mail.alarms_mail() == 0
    assert Alarm.objects.get().mailed_at is None
    monkeypatch.undo()


def test_an_alarm_that_gets_worse_while_its_mail_goes_out_is_sent_again(kiln, mailing, monkeypatch):
    alarm = make_alarm(kiln)
    monkeypatch.setattr(alarm_mail, "send_mail", lambda *_: Alarm.objects.update(level="danger", mailed_at=None))
    assert alarm_mail.alarms_mail() == 1
    monkeypatch.undo()
    alarm.refresh_from_db()
    assert alarm.mailed_at is None


def test_a_danger_that_came_and_went_while_the_mail_was_out_of_order_is_told(kiln, mailing):
    make_alarm(kiln, level="danger", closed_at=timezone.now() - timedelta(hours=3))
    make_alarm(kiln, level="danger", closed_at=timezone.now() - timedelta(days=3))
    assert alarm_mail.alarms_mail() == 1
    assert "Over since" in mail.outbox[0].body
    assert alarm_mail.alarms_mail() == 0


def test_without_e_mail_set_up_nothing_is_sent(kiln, settings):
    settings.ALARMS_TO = []
    make_alarm(kiln)
    assert alarm_mail.alarms_mail() == 0
    assert mail.outbox == []


def run_with_air(kiln):
    sensor = make_sensor("Air")
    reading_token_make(name="Hub", sensors=[sensor], by=None)
    kiln_sensor_put(kiln=kiln, sensor=sensor, place="air_in", by=None, since=timezone.now() - timedelta(days=2))
    began = timezone.now() - timedelta(days=1)
    run = Run.objects.create(kiln=kiln, name="First", state=RunState.RUNNING, phase="drying", started_at=began)
    RunPhase.objects.create(run=run, phase="drying", began_at=began, dry_bulb_f=110.0)
    return sensor


def test_a_reading_that_comes_in_by_post_opens_the_alarm(kiln, django_capture_on_commit_callbacks):
    token = reading_token_make(name="Post", sensors=[run_with_air(kiln)], by=None)[1]
    body = json.dumps({"time": timezone.now().isoformat(), "temp_f": 130})
    with django_capture_on_commit_callbacks(execute=True):
        answer = Client().post(
            "/api/readings/", body, content_type="application/json", HTTP_AUTHORIZATION=f"Bearer {token}"
        )
    assert answer.status_code == 200
    assert Alarm.objects.get().kind == "hot-wood"


@pytest.mark.django_db(transaction=True)
def test_a_rule_that_breaks_takes_no_reading_back(monkeypatch):
    from tests.make import make_yard
    from yard.models import Reading

    make_yard()
    token = reading_token_make(name="Post", sensors=[run_with_air(make_kiln("Box", build=Build()))], by=None)[1]

    def breaks(*_):
        raise RuntimeError("a rule is wrong")

    monkeypatch.setattr("kilns.services.alarms.kiln_now", breaks)
    body = json.dumps({"time": timezone.now().isoformat(), "temp_f": 130})
    answer = Client().post(
        "/api/readings/", body, content_type="application/json", HTTP_AUTHORIZATION=f"Bearer {token}"
    )
    assert answer.json()["taken"] == 1
    assert Reading.objects.count() == 1


def test_the_watch_finds_the_silent_sensor_and_says_so(kiln):
    run_with_air(kiln)
    assert watches_do() == ["1 alarm of kilns open, 0 sent by e-mail."]
    out = StringIO()
    call_command("watch", stdout=out)
    assert out.getvalue() == "1 alarm of kilns open, 0 sent by e-mail.\n"
    assert Alarm.objects.count() == 1


def test_what_an_alarm_says_is_in_the_yards_units(kiln, yard):
    yard.units = "metric"
    yard.save()
    sensor = run_with_air(kiln)
    sensor.readings.create(at=timezone.now(), temp_f=140.0)
    alarms_check(kiln=kiln)
    assert "60.0 °C" in Alarm.objects.get().words


def test_a_sensor_is_put_into_a_kiln_and_refused_in_a_second_one(owner_client, kiln):
    sensor, other = make_sensor("Air"), make_kiln("Other", build=Build())
    chosen = {"sensor": sensor.pk, "place": "air_in", "silent_after_min": 30}
    assert owner_client.post(f"/kilns/{kiln.pk}/sensors/", chosen).status_code == 302
    refused = owner_client.post(f"/kilns/{other.pk}/sensors/", chosen)
    assert refused.status_code == 422
    assert "Air stands in Box already: take it out there first." in text(refused)
    assert KilnSensor.objects.filter(until__isnull=True).count() == 1
    place = KilnSensor.objects.get()
    assert "It stands in" in text(owner_client.get(f"/sensors/{sensor.pk}/"))
    assert owner_client.post(f"/kilns/{other.pk}/sensors/{place.pk}/out/").status_code == 404
    owner_client.post(f"/kilns/{kiln.pk}/sensors/{place.pk}/out/")
    assert owner_client.post(f"/kilns/{other.pk}/sensors/", chosen).status_code == 302
    with pytest.raises(ValidationError, match="Air stood in Box until"):
        kiln_sensor_put(kiln=other, sensor=sensor, place="core", by=None, since=place.since)


def test_a_sensor_moved_within_its_kiln_stands_in_one_place(owner_client, kiln):
    sensor = make_sensor("Air")
    for place, minutes in (("air_in", 30), ("air_in", 45), ("air_out", 45)):
        owner_client.post(
            f"/kilns/{kiln.pk}/sensors/", {"sensor": sensor.pk, "place": place, "silent_after_min": minutes}
        )
    open_places = KilnSensor.objects.filter(until__isnull=True)
    assert [(one.place, one.silent_after_min) for one in open_places] == [("air_out", 45)]
    assert KilnSensor.objects.count() == 2


@pytest.mark.parametrize(
    ("field", "value"),
    [("sensor", ""), ("place", "roof"), ("silent_after_min", "1"), ("since", "2999-01-01T10:00")],
)
def test_a_place_that_cannot_be_is_refused_and_what_was_typed_stays(owner_client, kiln, field, value):
    chosen = {"sensor": make_sensor("Air").pk, "place": "air_in", "silent_after_min": "77"} | {field: value}
    answer = owner_client.post(f"/kilns/{kiln.pk}/sensors/", chosen)
    assert answer.status_code == 422
    assert value in text(answer)
    assert not KilnSensor.objects.exists()


def test_hands_do_not_change_where_sensors_stand(hand_client, kiln):
    assert hand_client.get(f"/kilns/{kiln.pk}/sensors/").status_code == 403

"""What phones send: every kind arrives once, in its order, with both times; what is refused says why."""

import io
import json
import uuid
from datetime import datetime, timedelta

import pytest
from django.db import OperationalError
from django.test import Client
from django.utils import timezone
from PIL import Image

from tests.make import make_log, make_slab, make_stack
from yard.models import History, MeterReading, OvenSection, PhoneRecord, Photo, Slab, StackWeighing, Weighing
from yard.services.samples import sample_add
from yard.views import phone_records as view


def entry(record="weighing", /, *, made_at=None, key=None, number=1, units="imperial", person=None, **typed):
    return {
        "key": key or str(uuid.uuid4()), "kind": record, "number": number, "units": units, "person": person,
        "made_at": (made_at or timezone.now()).isoformat(), "typed": typed,
    }  # fmt: skip


def send(client, *entries, sent_at=None, **more):
    body = {
        "schema": 1, "sent_at": (sent_at or timezone.now()).isoformat(), "device": "phone-1", "records": list(entries),
    }  # fmt: skip
    return client.post("/phone/records/", json.dumps(body | more), content_type="application/json")


def results(answer):
    assert answer.status_code == 200, answer.content
    return answer.json()["results"]


@pytest.fixture
def stack(yard):
    return make_stack(slabs=3)


@pytest.fixture
def sample(stack):
    return sample_add(cohort=stack.cohorts.get(), name="A")


def test_weight_arrives_with_the_time_at_which_it_was_made(hand_client, hand, sample):
    made = timezone.now() - timedelta(hours=3)
    [answer] = results(send(hand_client, entry(made_at=made, code=sample.code, weight="41.3", unit="lb")))
    assert answer["state"] == "saved"
    assert answer["says"].startswith("MC now")
    weighing = Weighing.objects.get()
    assert weighing.made_at == made
    assert weighing.weight_lb == pytest.approx(41.3)
    assert (weighing.typed_value, weighing.typed_unit, weighing.by) == ("41.3", "lb", hand)
    receipt = PhoneRecord.objects.get()
    assert (receipt.made_at, receipt.device, receipt.row_id) == (made, "phone-1", weighing.pk)
    assert abs(receipt.received_at - timezone.now()) < timedelta(minutes=1)


def test_kilograms_are_read_as_kilograms(hand_client, sample):
    results(send(hand_client, entry(code=sample.code, weight="20,5", unit="kg")))
    assert Weighing.objects.get().weight_lb == pytest.approx(20.5 / 0.45359237)


def test_same_record_sent_again_is_known_and_not_doubled(hand_client, sample):
    one = entry(code=sample.code, weight="41.3", unit="lb")
    assert [results(send(hand_client, one))[0]["state"] for _ in range(3)] == ["saved", "known", "known"]
    assert [answer["state"] for answer in results(send(hand_client, one, one))] == ["known", "known"]
    assert Weighing.objects.count() == PhoneRecord.objects.count() == 1


def test_slab_weighed_for_the_first_time_becomes_a_sample(hand_client, stack):
    slab = stack.slabs_now.first()
    weight = {"code": slab.code, "weight": "100", "unit": "lb", "confirmed": True}
    assert results(send(hand_client, entry(**weight)))[0]["state"] == "saved"
    assert Weighing.objects.get().sample.slab == slab


def test_whole_stack_meter_reading_and_oven_section(hand_client, stack, sample):
    answers = results(
        send(
            hand_client,
            entry("stack-weighing", code=stack.code, weight="500", unit="lb", tare="40", confirmed=True),
            entry("reading", code=sample.code, reading_pct="18", depth_in="1/2 in", wood_temp_f=""),
            entry("section", code=stack.code, wet="100", oven_dry="80", bench_unit="g"),
        )
    )
    assert [answer["state"] for answer in answers] == ["saved"] * 3, answers
    assert StackWeighing.objects.get().tare_lb == 40
    assert MeterReading.objects.get().reading_pct == 18
    assert OvenSection.objects.get().mc_pct == pytest.approx(25)


def test_tally_of_a_log_arrives_in_its_order(hand_client, yard):
    log = make_log("L-7")
    rows = [
        entry(
            "slab",
            code=log.code,
            kind="live_edge",
            thickness_in="8/4",
            length_in="8",
            widths_in=f"{width}; 16",
            number=n,
        )
        for n, width in enumerate((15, 16, 17, 18), start=1)
    ]
    assert [answer["state"] for answer in results(send(hand_client, *rows))] == ["saved"] * 4
    slabs = list(Slab.objects.order_by("position"))
    assert [slab.position for slab in slabs] == [1, 2, 3, 4]
    assert [slab.widths_in[0] for slab in slabs] == [15, 16, 17, 18]
    assert [str(slab.client_key) for slab in slabs] == [row["key"] for row in rows]
    assert History.objects.filter(table="slab", action="added").count() == 4


def test_lot_and_metric_sizes(hand_client, yard):
    log = make_log()
    lot = entry(
        "slab", units="metric", code=log.code, kind="lot", thickness_in="27", length_in="2,5", tally="20 20 22x3"
    )
    [answer] = results(send(hand_client, lot))
    assert answer["state"] == "saved", answer
    slab = Slab.objects.get()
    assert slab.count == 5
    assert slab.length_in == pytest.approx(2500 / 25.4)
    assert slab.thickness_in == pytest.approx(27 / 25.4)


def test_photo_arrives_once(hand_client, stack):
    picture = io.BytesIO()
    Image.new("RGB", (60, 40), "brown").save(picture, "JPEG")
    key = str(uuid.uuid4())
    now = timezone.now().isoformat()
    for state in ("saved", "known"):
        picture.seek(0)
        picture.name = "photo.jpg"
        body = {"key": key, "made_at": now, "sent_at": now, "code": stack.code, "caption": "East end", "photo": picture}
        [answer] = results(hand_client.post("/phone/photo/", body))
        assert answer["state"] == state
    assert Photo.objects.get().stack == stack


def test_photo_that_is_none_is_refused(hand_client, stack):
    broken = io.BytesIO(b"not a picture")
    broken.name = "photo.jpg"
    now = timezone.now().isoformat()
    body = {"key": str(uuid.uuid4()), "made_at": now, "sent_at": now, "code": stack.code, "photo": broken}
    [answer] = results(hand_client.post("/phone/photo/", body))
    assert answer["state"] == "refused"
    assert "not a picture" in answer["reason"]
    assert not PhoneRecord.objects.exists()


@pytest.mark.parametrize(
    ("kind", "typed", "words"),
    [
        ("weighing", {"weight": "9999", "unit": "lb"}, "at most"),
        ("weighing", {"weight": "", "unit": "lb"}, "Weight: type it"),
        ("weighing", {"weight": "forty", "unit": "lb"}, ""),
        ("reading", {"reading_pct": "18", "depth_in": "9 in"}, ""),
        ("section", {"wet": "80", "oven_dry": "100", "bench_unit": "g"}, "wrong way round"),
    ],
)
def test_what_cannot_be_is_refused_with_a_reason_and_nothing_is_kept(hand_client, stack, kind, typed, words):
    code = stack.slabs_now.first().code
    [answer] = results(send(hand_client, entry(kind, code=code, **typed)))
    assert answer["state"] == "refused"
    assert answer["reason"]
    assert words in answer["reason"]
    assert not PhoneRecord.objects.exists()
    assert not Weighing.objects.exists()


def test_hardly_possible_weight_may_be_insisted_on(hand_client, sample):
    first = entry(code=sample.code, weight="40", unit="lb", made_at=timezone.now() - timedelta(days=2))
    results(send(hand_client, first))
    odd = entry(code=sample.code, weight="44", unit="lb")
    [answer] = results(send(hand_client, odd))
    assert (answer["state"], answer["may_confirm"]) == ("refused", True)
    odd["typed"]["confirmed"] = True
    assert results(send(hand_client, odd))[0]["state"] == "saved"


def test_refused_record_does_not_hold_up_the_others(hand_client, sample):
    answers = results(
        send(
            hand_client,
            entry(code="ZZZZZZ", weight="1", unit="lb"),
            entry(code=sample.code, weight="41", unit="lb"),
        )
    )
    assert [answer["state"] for answer in answers] == ["refused", "saved"]


def test_void_log_is_refused(hand_client, yard):
    log = make_log()
    log.state = "void"
    log.save()
    row = entry("slab", code=log.code, kind="board", thickness_in="4/4", length_in="8", widths_in="8")
    assert "void" in results(send(hand_client, row))[0]["reason"]


@pytest.mark.parametrize("off", [timedelta(days=1), timedelta(days=-1)])
def test_clock_that_is_wrong_by_a_day_is_set_right_and_both_times_are_kept(hand_client, sample, off):
    made = timezone.now() - timedelta(hours=2)
    said = made + off
    sent = timezone.now() + off
    results(send(hand_client, entry(made_at=said, code=sample.code, weight="41", unit="lb"), sent_at=sent))
    assert abs(Weighing.objects.get().made_at - made) < timedelta(seconds=30)
    receipt = PhoneRecord.objects.get()
    assert receipt.made_at == said
    assert receipt.clock_off_s == pytest.approx(-off.total_seconds(), abs=30)


def test_time_that_has_not_come_is_never_kept(hand_client, sample):
    """The clock was ahead when it was written down, and had been set right when it was sent."""
    ahead = timezone.now() + timedelta(days=1)
    results(send(hand_client, entry(made_at=ahead, code=sample.code, weight="41", unit="lb")))
    assert Weighing.objects.get().made_at <= timezone.now()
    assert PhoneRecord.objects.get().made_at == ahead


def test_record_of_somebody_else_waits_for_them(hand_client, owner, sample):
    [answer] = results(send(hand_client, entry(person=owner.pk, code=sample.code, weight="41", unit="lb")))
    assert answer["state"] == "refused"
    assert answer["field"] == "person"
    assert not Weighing.objects.exists()


def test_trouble_of_the_database_is_no_refusal(hand_client, sample, monkeypatch):
    def locked(**_):
        raise OperationalError("database is locked")

    monkeypatch.setattr(view, "phone_record_keep", locked)
    answers = results(send(hand_client, entry(code=sample.code, weight="41", unit="lb"), entry(code=sample.code)))
    assert [answer["state"] for answer in answers] == ["later"]  # and what follows waits behind it


def test_answer_that_cannot_be_worked_out_does_not_undo_what_was_kept(hand_client, sample, monkeypatch):
    def full(*_, **__):
        raise OperationalError("database or disk is full")

    monkeypatch.setattr(view, "phone_answers", full)
    assert results(send(hand_client, entry(code=sample.code, weight="41", unit="lb")))[0]["state"] == "saved"
    assert Weighing.objects.count() == 1


@pytest.mark.parametrize(
    "body", [b"", b"[]", b"{", b'{"schema": 1}', b'{"schema": 9, "records": [], "sent_at": "2026-01-01T00:00Z"}',
             b'{"schema": 1, "records": [], "sent_at": "yesterday"}'],
)  # fmt: skip
def test_message_that_no_phone_sends_is_answered_400(hand_client, yard, body):
    answer = hand_client.post("/phone/records/", body, content_type="application/json")
    assert answer.status_code == 400
    assert "Not understood" in answer.json()["error"]


def test_record_that_is_no_record_is_refused_and_the_rest_kept(hand_client, sample):
    good = entry(code=sample.code, weight="41", unit="lb")
    bad = [None, 7, {"key": "x"}, entry("dance"), entry(code={"a": 1}), entry(code="x" * 5000), good | {"made_at": "x"}]
    answers = results(send(hand_client, *bad, good))
    assert [answer["state"] for answer in answers] == ["refused"] * len(bad) + ["saved"]


def test_session_tells_who_is_logged_in_and_hands_out_a_token_that_works(hand, sample):
    client = Client(enforce_csrf_checks=True)
    assert client.get("/phone/session/").json()["person"] is None
    one = entry(code=sample.code, weight="41", unit="lb")
    assert send(client, one).status_code in (302, 403)
    client.force_login(hand, backend="django.contrib.auth.backends.ModelBackend")
    assert send(client, one).status_code == 403  # the token is missing
    found = client.get("/phone/session/").json()
    assert (found["person"]["id"], found["may"]) == (hand.pk, True)
    body = {"schema": 1, "sent_at": timezone.now().isoformat(), "records": [one]}
    answer = client.post(
        "/phone/records/", json.dumps(body), content_type="application/json", headers={"X-CSRFToken": found["csrf"]}
    )
    assert results(answer)[0]["state"] == "saved"


def test_viewer_is_told_that_nothing_can_be_sent(viewer_client):
    assert viewer_client.get("/phone/session/").json()["may"] is False
    assert send(viewer_client).status_code == 403


def test_pack_holds_the_round_the_things_and_the_logs(hand_client, stack, sample):
    log = make_log("L-3")
    results(send(hand_client, entry(code=sample.code, weight="41", unit="lb")))
    pack = hand_client.get("/phone/pack/").json()
    by_code = {thing["code"]: thing for thing in pack["things"]}
    assert by_code[sample.code]["last"] == pytest.approx(41)
    assert by_code[sample.code]["low"] < 41 < by_code[sample.code]["high"] * 1.001
    assert by_code[stack.code]["kind"] == "stack"
    assert {slab.code for slab in stack.slabs_now.all()} <= set(by_code)
    assert [one["tag"] for one in pack["logs"]] == [log.tag]
    assert datetime.fromisoformat(pack["made_at"]).tzinfo is not None


def test_round_page_shows_what_is_worth_it_in_walking_order(hand_client, yard):
    from tests.make import make_bay
    from yard.services.estimates import estimates_refresh
    from yard.services.round import round_today

    far, near = make_bay("Far", map_x=0, map_y=6), make_bay("Near", map_x=0, map_y=0)
    stacks = [make_stack("ST-F", slabs=1, bay=far), make_stack("ST-N", slabs=1, bay=near)]
    estimates_refresh(cohort_ids=[stack.cohorts.get().pk for stack in stacks], because="test")
    stops = round_today().stops
    assert [stop.cohort.stack.tag for stop in stops] == ["ST-N", "ST-F"]
    text = hand_client.get("/round/").content.decode()
    assert text.index("ST-N") < text.index("ST-F")
    assert "narrows the date" in text.lower()


def test_page_of_the_phone_is_the_same_for_everybody(client, hand_client, viewer_client, yard):
    pages = {one.get("/phone/").content for one in (client, hand_client, viewer_client)}
    assert len(pages) == 1


def test_worker_names_all_that_the_phone_keeps(client, yard):
    answer = client.get("/phone/worker.js")
    assert answer["Service-Worker-Allowed"] == "/"
    assert answer["Content-Type"].startswith("text/javascript")
    text = answer.content.decode()
    for name in ("phone_store.js", "phone_send.js", "phone.js", "phone.css", "tokens.css"):
        assert name in text


def test_manifest_can_be_installed(client, yard):
    manifest = client.get("/phone/manifest.webmanifest").json()
    assert manifest["start_url"] == "/phone/"
    assert {icon["sizes"] for icon in manifest["icons"]} == {"192x192", "512x512"}


def test_slab_of_a_phone_whose_log_was_sawn_meanwhile_puts_it_back_on_the_mill(hand_client, yard):
    log = make_log()
    make_slab(log=log)
    log.refresh_from_db()
    log.state = "sawn"
    log.save()
    row = entry("slab", code=log.code, kind="board", thickness_in="4/4", length_in="8", widths_in="8")
    assert results(send(hand_client, row))[0]["state"] == "saved"
    log.refresh_from_db()
    assert log.state == "on_mill"


def test_pack_takes_a_fixed_number_of_queries(hand_client, yard):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def queries():
        with CaptureQueriesContext(connection) as found:
            assert hand_client.get("/phone/pack/").status_code == 200
        return len(found)

    def grow():
        stack = make_stack(slabs=2)
        cohort = stack.cohorts.get()
        for name in ("A", "B"):
            sample = sample_add(cohort=cohort, name=name)
            results(send(hand_client, entry(code=sample.code, weight="41", unit="lb")))
        make_slab(log=make_log())

    grow()
    few = queries()
    for _ in range(3):
        grow()
    assert queries() == few

"""Taking in a log."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from tests.make import make_log, make_person
from yard.models import Contact, Log, Photo

URL = "/logs/new/"


def typed(**fields):
    first = {
        "species_key": "northern red oak", "tag": "26-1", "small_end_in": "12", "large_end_in": "14",
        "length_ft": "16", "defect_pct": "", "arrived_on": str(timezone.localdate()), "rule": "doyle",
    }  # fmt: skip
    return first | fields


def errors(answer):
    return answer.context["form"].errors


def test_a_log_is_taken_in_and_shows_64_doyle_and_95_international(hand_client):
    answer = hand_client.post(URL, typed(), follow=True)
    log = Log.objects.get()
    assert answer.redirect_chain[-1][0] == f"/logs/{log.pk}/"
    page = answer.content.decode()
    assert "64 bf" in page
    assert "95 bf" in page
    assert log.species_key == "oak-northern-red"


def test_the_form_offers_the_next_tag_today_and_the_yards_rule(hand_client):
    make_log(f"{timezone.localdate():%y}-4")
    form = hand_client.get(URL).context["form"]
    assert form["tag"].value() == f"{timezone.localdate():%y}-5"
    assert form["rule"].value() == "international"
    assert form["arrived_on"].value() == timezone.localdate()


def test_the_scale_shows_while_typing(hand_client):
    answer = hand_client.get(
        "/logs/scale/", {"small_end_in": "12", "length_ft": "16", "rule": "doyle"}, headers={"HX-Request": "true"}
    )
    page = answer.content.decode()
    assert page.lstrip().startswith('<section class="card log-scale" id="_log_scale"')
    assert "64 bf" in page
    assert "95 bf" in page
    assert "(D − 4)² × L ÷ 16" in page  # the working opens


def test_the_scale_shows_without_a_script_and_nothing_is_saved(hand_client):
    answer = hand_client.post(URL, typed(only_scale="yes", tag="mine"))
    assert "64 bf" in answer.content.decode()
    assert 'value="mine"' in answer.content.decode()
    assert not Log.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"small_end_in": "12 lb"}, "small_end_in", "is not a diameter: type it like 18 or 46 cm"),
        ({"small_end_in": "-12"}, "small_end_in", "type it like"),
        ({"small_end_in": "300"}, "small_end_in", "outside 0.1 to 150 in"),
        ({"small_end_in": "130"}, "small_end_in", "at most 120 in"),
        ({"small_end_in": "12 3/0"}, "small_end_in", "divides by nothing"),
        ({"small_end_in": ""}, "small_end_in", "required"),
        ({"large_end_in": "10"}, "large_end_in", "wrong way round"),
        ({"length_ft": "16 kg"}, "length_ft", "is not a length"),
        ({"defect_pct": "120"}, "defect_pct", "give 0 to 100%"),
        ({"arrived_on": str(timezone.localdate() + timedelta(days=2))}, "arrived_on", "has not come yet"),
        ({"felled_on": "2999-01-01"}, "felled_on", "has not come yet"),
        ({"felled_on": "31.12."}, "felled_on", "type it like 2026-03-02"),
        ({"arrived_on": "2025-03-01", "felled_on": "2025-03-02"}, "felled_on", "Felled after it arrived"),
        ({"species_key": "oak"}, "species_key", "Which one do you mean"),
        ({"species_key": "ironbeech"}, "species_key", "Try another name"),
        ({"cost": "-5"}, "cost", "from 0 up"),
        ({"cost": "lots"}, "cost", "type digits"),
        ({"rule": "guess"}, "rule", "not one of the available choices"),
    ],
)
def test_bad_input_is_said_beside_its_field_and_kept(hand_client, wrong, field, words):
    answer = hand_client.post(URL, typed(**wrong))
    assert answer.status_code == 422
    assert words in " ".join(errors(answer)[field])
    assert set(errors(answer)) == {field}
    assert not Log.objects.exists()
    value = next(iter(wrong.values()))
    assert answer.context["form"][field].value() == (wrong.get(field, value))


@pytest.mark.parametrize(
    ("small", "length", "inches", "feet"),
    [
        ("12 1/2", "11' 6\"", 12.5, 11.5),
        ("12½", "138 in", 12.5, 11.5),
        ("30,48 cm", "3.048 m", 12, 10),
        ("12,5", "10", 12.5, 10),
        ("1' 6", "8 ft 6", 18, 8.5),
    ],
)
def test_fractions_commas_and_units_are_read(hand_client, small, length, inches, feet):
    hand_client.post(URL, typed(small_end_in=small, large_end_in="", length_ft=length))
    log = Log.objects.get()
    assert (log.small_end_in, log.length_ft) == (pytest.approx(inches), pytest.approx(feet))


def test_a_doubled_tag_is_said_beside_the_field(hand_client):
    make_log("26-1")
    answer = hand_client.post(URL, typed(tag="26-1"))
    assert answer.status_code == 422
    assert errors(answer)["tag"] == ["Another log has the tag 26-1: type another one."]
    assert Log.objects.count() == 1


def test_a_metric_person_types_and_sees_centimetres_and_metres(client, yard):
    client.force_login(make_person("hand", units="metric"), backend="django.contrib.auth.backends.ModelBackend")
    answer = client.post(URL, typed(small_end_in="30.48", large_end_in="", length_ft="4.88"), follow=True)
    log = Log.objects.get()
    assert log.small_end_in == pytest.approx(12)
    assert log.doyle_bf == pytest.approx(64)
    page = answer.content.decode()
    assert "30.5 cm" in page
    assert "4.88 m" in page


def test_whose_wood_and_supplier_are_kept(hand_client):
    owner = Contact.objects.create(name="Ida Fenn", is_owner=True)
    supplier = Contact.objects.create(name="Tree Service", is_supplier=True)
    hand_client.post(URL, typed(owner=owner.pk, supplier=supplier.pk, cost="1,250.50", where_from="Mill Lane"))
    log = Log.objects.get()
    assert (log.owner, log.supplier, str(log.cost)) == (owner, supplier, "1250.50")


def test_an_owner_and_a_supplier_not_listed_yet_are_added_with_the_log(hand_client, hand):
    Contact.objects.create(name="Ida Fenn", is_buyer=True)
    hand_client.post(URL, typed(new_owner="ida  fenn", new_supplier="Hill Tree Service"))
    log = Log.objects.get()
    assert (log.owner.name, log.owner.is_owner, log.owner.is_buyer) == ("Ida Fenn", True, True)
    assert (log.supplier.name, log.supplier.is_supplier) == ("Hill Tree Service", True)
    assert Contact.objects.count() == 2


def test_listed_and_not_listed_at_once_is_asked_back_and_nothing_is_added(hand_client):
    owner = Contact.objects.create(name="Ida Fenn", is_owner=True)
    answer = hand_client.post(URL, typed(owner=owner.pk, new_owner="Somebody"))
    assert answer.status_code == 422
    assert "not both" in " ".join(errors(answer)["new_owner"])
    answer = hand_client.post(URL, typed(new_owner="Somebody", small_end_in="x"))
    assert "Somebody" in answer.content.decode()
    assert Contact.objects.count() == 1
    assert not Log.objects.exists()


def picture(name="log.png"):
    data = BytesIO()
    Image.new("RGB", (40, 30), "green").save(data, "PNG")
    return SimpleUploadedFile(name, data.getvalue(), "image/png")


def test_photos_come_in_with_the_log(hand_client):
    hand_client.post(URL, typed(photos=[picture(), picture()]))
    assert Photo.objects.filter(log=Log.objects.get()).count() == 2


def test_a_file_that_is_no_picture_leaves_neither_log_nor_photo(hand_client):
    bad = SimpleUploadedFile("log.png", b"no picture", "image/png")
    answer = hand_client.post(URL, typed(photos=[picture(), bad]))
    assert answer.status_code == 422
    assert "not a picture" in " ".join(errors(answer)["photos"])
    assert not Log.objects.exists()
    assert not Photo.objects.exists()


def test_another_log_can_follow_at_once(hand_client):
    assert hand_client.post(URL, typed(another="yes")).headers["Location"] == URL


def test_a_viewer_and_a_stranger_take_in_nothing(viewer_client, client):
    assert viewer_client.post(URL, typed()).status_code == 403
    assert client.post(URL, typed()).status_code == 302
    assert not Log.objects.exists()

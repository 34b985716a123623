"""Photos on the pages of logs, slabs and stacks, and their files behind the log-in."""

import io
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from tests.make import make_log, make_slab, make_stack
from yard.models import Photo


def picture(name="one.jpg"):
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "tan").save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), "image/jpeg")


def form(*files, **fields):
    return {"photos": list(files), "client_key": str(uuid.uuid4()), "caption": ""} | fields


def url(noun, thing):
    return f"/photos/{noun}/{thing.pk}/add/"


def test_a_log_a_slab_and_a_stack_each_take_photos_and_show_them(hand_client, yard):
    things = {"log": make_log(), "slab": make_slab(), "stack": make_stack()}
    for noun, thing in things.items():
        answer = hand_client.post(url(noun, thing), form(picture(), caption="Heart side"))
        assert answer["Location"] == f"/{noun}s/{thing.pk}/"
        page = hand_client.get(answer["Location"]).content.decode()
        photo = Photo.objects.get(**{noun: thing})
        assert f'src="/photos/{photo.pk}/thumb/"' in page
        assert "Heart side" in page


def test_several_at_once_sent_twice_are_each_one_photo(hand_client, yard):
    slab, key = make_slab(), str(uuid.uuid4())
    for _ in range(2):
        hand_client.post(url("slab", slab), form(picture(), picture("two.jpg"), client_key=key))
    assert Photo.objects.count() == 2


def test_htmx_gets_the_photos_alone(hand_client, yard):
    answer = hand_client.post(url("slab", make_slab()), form(picture()), headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert answer.content.decode().strip().startswith('<div id="_photos"')


def test_a_file_that_is_no_picture_is_named_and_the_caption_kept(hand_client, yard):
    slab = make_slab()
    bad = SimpleUploadedFile("notes.jpg", b"not a picture")
    answer = hand_client.post(url("slab", slab), form(picture(), bad, caption="Heart side"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "notes.jpg: This is not a picture" in page
    assert "The other 1 is kept" in page
    assert 'value="Heart side"' in page


def test_no_file_at_all_is_said(hand_client, yard):
    answer = hand_client.post(url("slab", make_slab()), form())
    assert answer.status_code == 422
    assert "Choose at least one picture" in answer.content.decode()


def test_the_file_is_a_jpeg_for_people_of_the_yard_only(hand_client, viewer_client, client, yard):
    hand_client.post(url("slab", make_slab()), form(picture()))
    photo = Photo.objects.get()
    for size in ("thumb", "full"):
        answer = viewer_client.get(f"/photos/{photo.pk}/{size}/")
        assert answer.status_code == 200
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert "private" in answer["Cache-Control"]
        assert Image.open(io.BytesIO(b"".join(answer.streaming_content))).format == "JPEG"
        assert client.get(f"/photos/{photo.pk}/{size}/").status_code == 302


def test_whoever_works_removes_a_photo(hand_client, yard):
    slab = make_slab()
    hand_client.post(url("slab", slab), form(picture()))
    answer = hand_client.post(f"/photos/{Photo.objects.get().pk}/remove/")
    assert answer["Location"] == f"/slabs/{slab.pk}/"
    assert not Photo.objects.exists()


def test_viewers_and_strangers_add_and_remove_nothing(hand_client, viewer_client, client, yard):
    slab = make_slab()
    hand_client.post(url("slab", slab), form(picture()))
    photo = Photo.objects.get()
    for visitor, status in ((viewer_client, 403), (client, 302)):
        assert visitor.post(url("slab", slab), form(picture())).status_code == status
        assert visitor.post(f"/photos/{photo.pk}/remove/").status_code == status
    assert Photo.objects.count() == 1


@pytest.mark.parametrize("path", ["/photos/person/1/add/", "/photos/slab/999/add/"])
def test_photos_of_nothing_are_not_found(hand_client, yard, path):
    assert hand_client.post(path, form(picture())).status_code == 404

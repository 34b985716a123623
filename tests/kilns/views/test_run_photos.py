"""Photos of a run: kept, served and removed as those of the yard's own things, by the same code."""

import io

import pytest
from django.db import IntegrityError, transaction
from PIL import Image

from kilns.models import RunPhoto
from tests.kilns.make import make_running
from tests.yard.services.test_photos import phone_exif
from tests.yard.services.test_photos import picture as large_picture
from tests.yard.views.test_photo_add import form, picture, url
from yard.models import History, Photo
from yard.services.photos import LONGEST_SIDE_PX, MOST_BYTES, THUMB_SIDE_PX


@pytest.fixture
def run(yard):
    return make_running()


def text_of(client, run):
    return client.get(f"/kilns/runs/{run.pk}/").content.decode()


def test_a_run_keeps_a_photo_with_its_caption_and_its_history_says_so(hand_client, run):
    answer = hand_client.post(url("run", run), form(picture(), caption="End checks, course 3"))
    assert answer["Location"] == f"/kilns/runs/{run.pk}/"
    photo = RunPhoto.objects.get(run=run)
    text = text_of(hand_client, run)
    assert f'src="/photos/{photo.pk}/thumb/"' in text
    assert "End checks, course 3" in text
    assert History.objects.get(table="run", row_id=run.pk, action="photo added").note == "End checks, course 3"


def test_what_the_camera_took_and_what_was_chosen_come_in_one_form(hand_client, run):
    fields = form(picture(), photos_taken=picture("taken.jpg"))
    for _ in range(2):  # sent twice over a bad line
        hand_client.post(url("run", run), fields)
        for one in (fields["photos_taken"], *fields["photos"]):
            one.seek(0)
    assert RunPhoto.objects.filter(run=run).count() == 2


def test_the_camera_alone_is_enough_and_its_form_stands_open_on_the_page(hand_client, run):
    text = text_of(hand_client, run)
    assert '<details class="more" open><summary>Add photos</summary>' in text
    assert 'name="photos_taken" accept="image/*" capture="environment"' in text
    hand_client.post(url("run", run), form(photos_taken=picture()))
    assert RunPhoto.objects.filter(run=run).count() == 1


def test_it_is_made_smaller_and_says_nothing_of_the_place(hand_client, run):
    hand_client.post(url("run", run), form(large_picture(size=(3000, 2000), exif=phone_exif(1))))
    photo = RunPhoto.objects.get()
    assert (photo.width_px, photo.height_px) == (LONGEST_SIDE_PX, LONGEST_SIDE_PX * 2 // 3)
    assert max(Image.open(photo.thumb.open()).size) == THUMB_SIDE_PX
    assert not dict(Image.open(io.BytesIO(photo.image.open().read())).getexif())


def test_one_that_is_too_large_is_refused_with_the_limit(hand_client, run, monkeypatch):
    monkeypatch.setattr("yard.services.photos.MOST_BYTES", 100)
    answer = hand_client.post(url("run", run), form(picture()))
    assert (answer.status_code, RunPhoto.objects.count()) == (422, 0)
    assert "the most is 0 MB" in answer.content.decode()
    assert MOST_BYTES == 25 * 1024 * 1024


def test_its_file_is_for_people_of_the_yard_and_it_is_removed_for_good(
    hand_client, viewer_client, client, run, django_capture_on_commit_callbacks
):
    hand_client.post(url("run", run), form(picture(), caption="Blurred"))
    photo = RunPhoto.objects.get()
    file = f"/photos/{photo.pk}/full/"
    assert (viewer_client.get(file).status_code, client.get(file).status_code) == (200, 302)
    for visitor, status in ((viewer_client, 403), (client, 302)):
        assert visitor.post(url("run", run), form(picture())).status_code == status
        assert visitor.post(f"/photos/{photo.pk}/remove/").status_code == status
    assert "Add photos" not in text_of(viewer_client, run)
    with django_capture_on_commit_callbacks(execute=True):
        assert hand_client.post(f"/photos/{photo.pk}/remove/")["Location"] == f"/kilns/runs/{run.pk}/"
    assert not Photo.objects.exists()
    assert not RunPhoto.objects.exists()
    assert not photo.image.storage.exists(photo.image.name)
    assert History.objects.get(table="run", action="photo removed").note == "Blurred"


def test_a_photo_of_nothing_or_of_two_things_is_refused_by_the_database(hand_client, run):
    hand_client.post(url("run", run), form(picture()))
    for change in ({"other": ""}, {"stack": run.run_stacks.get().stack_id}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Photo.objects.update(**change)

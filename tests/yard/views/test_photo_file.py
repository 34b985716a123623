"""Photos are seen by people of the yard only."""

import io

from django.core.files.base import ContentFile
from PIL import Image

from tests.make import make_log
from yard.services.photos import photo_add


def make_photo():
    picture = io.BytesIO()
    Image.new("RGB", (64, 48), "brown").save(picture, "JPEG")
    return photo_add(thing=make_log(), upload=ContentFile(picture.getvalue(), name="a.jpg"), by=None)


def test_photo_is_served_to_people_of_the_yard_and_not_to_strangers(yard, viewer_client, client):
    photo = make_photo()
    for size in ("image", "thumb"):
        path = f"/photos/{photo.pk}/{size}/"
        answer = viewer_client.get(path)
        assert answer.status_code == 200
        assert answer.headers["Cache-Control"].startswith("private")
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert client.get(path).status_code == 302


def test_photo_whose_file_is_gone_is_not_found(yard, viewer_client):
    photo = make_photo()
    photo.image.storage.delete(photo.image.name)
    assert viewer_client.get(f"/photos/{photo.pk}/image/").status_code == 404


def test_media_folder_is_not_served_by_path(yard, viewer_client):
    photo = make_photo()
    assert viewer_client.get(f"/media/{photo.image.name}").status_code == 404

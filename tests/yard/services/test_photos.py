"""Photos: upright, without the place where they were taken, small, once; a clear word for what cannot be read."""

import io
import uuid
from datetime import UTC, datetime

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from tests.make import make_slab
from yard.models import History, Photo
from yard.services.photos import LONGEST_SIDE_PX, MOST_BYTES, THUMB_SIDE_PX, photo_add, photo_remove


def picture(size=(1200, 800), kind="JPEG", mode="RGB", exif=None, half="white"):
    """A black picture of which the left half is `half`."""
    image = Image.new(mode, size, "black")
    image.paste(half, (0, 0, size[0] // 2, size[1]))
    out = io.BytesIO()
    image.save(out, kind, **({"exif": exif} if exif else {}))
    return SimpleUploadedFile(f"photo.{kind.lower()}", out.getvalue())


def phone_exif(orientation=6):
    """What a phone writes: turned, with the place, at a moment in its own zone."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif.get_ifd(0x8769)[0x9003] = "2025:03:14 10:30:00"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (43.0, 4.0, 12.0)
    return exif


@pytest.fixture
def slab(yard):
    return make_slab()


def stored(photo):
    return Image.open(photo.image.open())


def test_a_turned_picture_is_stored_upright(slab, owner):
    photo = photo_add(thing=slab, upload=picture(exif=phone_exif(6)), by=owner)
    image = stored(photo)
    assert (image.width, image.height) == (800, 1200) == (photo.width_px, photo.height_px)
    # turned a quarter clockwise, the left half is the top half
    assert image.getpixel((400, 100))[0] > 200
    assert image.getpixel((400, 1100))[0] < 50


def test_the_place_and_all_else_that_a_phone_writes_is_gone(slab, owner):
    upload = picture(exif=phone_exif())
    assert b"Exif" in upload.read()
    upload.seek(0)
    photo = photo_add(thing=slab, upload=upload, by=owner)
    for file in (photo.image, photo.thumb):
        assert b"Exif" not in file.open().read()
        assert not dict(Image.open(file.open()).getexif())


def test_when_it_was_taken_is_read_in_the_zone_of_the_yard(slab, owner):
    photo = photo_add(thing=slab, upload=picture(exif=phone_exif()), by=owner, time_zone="America/Chicago")
    assert photo.taken_at == datetime(2025, 3, 14, 15, 30, tzinfo=UTC)  # daylight time, five hours behind


def test_a_large_picture_is_made_smaller_and_gets_a_thumb(slab, owner):
    photo = photo_add(thing=slab, upload=picture(size=(5000, 2500)), by=owner)
    assert (photo.width_px, photo.height_px) == (LONGEST_SIDE_PX, LONGEST_SIDE_PX // 2)
    assert max(Image.open(photo.thumb.open()).size) == THUMB_SIDE_PX


@pytest.mark.parametrize(
    ("kind", "mode"), [("PNG", "RGBA"), ("PNG", "P"), ("PNG", "L"), ("WEBP", "RGB"), ("JPEG", "CMYK")]
)
def test_other_kinds_of_pictures_become_jpeg(slab, owner, kind, mode):
    upload = picture(kind=kind, mode=mode, half=(1 if mode == "P" else "white"))
    image = stored(photo_add(thing=slab, upload=upload, by=owner))
    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (1200, 800))


def test_the_same_key_sent_twice_is_one_photo(slab, owner):
    key = uuid.uuid4()
    first = photo_add(thing=slab, upload=picture(), by=owner, client_key=key)
    again = photo_add(thing=slab, upload=picture(), by=owner, client_key=key)
    assert (again.pk, Photo.objects.count()) == (first.pk, 1)
    assert History.objects.filter(table="slab", action="photo added").count() == 1


def heic():
    return SimpleUploadedFile("photo.heic", b"\x00\x00\x00\x18ftypheic" + b"\x00" * 64)


def too_large():
    upload = SimpleUploadedFile("photo.jpg", b"\xff\xd8")
    upload.size = MOST_BYTES + 1
    return upload


def too_many_points():
    return picture(size=(8000, 5001), kind="PNG", mode="1", half=1)


def cut_short():
    return SimpleUploadedFile("photo.jpg", picture(size=(2000, 2000)).read()[:2000])


@pytest.mark.parametrize(
    ("upload", "words"),
    [
        (heic, "Most compatible"),
        (too_large, "the most is 25 MB"),
        (too_many_points, "too many"),
        (cut_short, "not a picture"),
        (lambda: SimpleUploadedFile("photo.jpg", b"<svg onload=alert(1)>"), "not a picture"),
        (lambda: SimpleUploadedFile("photo.jpg", b""), "not a picture"),
    ],
)
def test_what_is_no_picture_is_refused_with_what_to_do(slab, owner, upload, words):
    with pytest.raises(ValidationError, match=words):
        photo_add(thing=slab, upload=upload(), by=owner)
    assert not Photo.objects.exists()


def test_a_removed_photo_leaves_no_file_and_a_line_of_history(slab, owner, django_capture_on_commit_callbacks):
    photo = photo_add(thing=slab, upload=picture(), by=owner, caption="Heart side")
    storage, name = photo.image.storage, photo.image.name
    with django_capture_on_commit_callbacks(execute=True):
        photo_remove(photo=photo, by=owner)
    assert not storage.exists(name)
    assert History.objects.get(action="photo removed").note == "Heart side"

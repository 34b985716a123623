"""Photos of whatever keeps some: taken in upright, without the place where they were taken, and small."""

import io
import uuid
from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.db.models import Model
from django.utils import timezone as clock
from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from yard.models import Person, Photo
from yard.services.history import history_add
from yard.services.photo_things import kind_of, thing_of

# The program's own limits, no source: a phone's picture is 3 to 12 MB and 12 to 50 million points.
MOST_BYTES = 25 * 1024 * 1024
MOST_POINTS = {"JPEG": 120_000_000, "MPO": 120_000_000}  # decoded at a half or a quarter, so little memory
MOST_POINTS_OTHERS = 40_000_000
LONGEST_SIDE_PX = 2000
THUMB_SIDE_PX = 480
KINDS = ("JPEG", "PNG", "WEBP")

HEIC = (
    "This is a HEIC picture, which browsers cannot show. Set the phone's camera to “Most compatible” (JPEG), "
    "or send the picture to yourself as JPEG first."
)
NO_PICTURE = "This is not a picture that can be read: choose a JPEG, PNG or WebP file."

_EXIF_TAKEN = 0x9003  # DateTimeOriginal; Exif 2.3, tag table, from memory
_EXIF_TAKEN_OFFSET = 0x9011  # OffsetTimeOriginal; the same
_EXIF_IFD = 0x8769  # where both stand; the same


def photo_add(
    *,
    thing: Model,
    upload,
    by: Person | None,
    caption: str = "",
    client_key: uuid.UUID | None = None,
    time_zone: str = "UTC",
) -> Photo:
    """Keep a picture of a thing that keeps photos; the same client key sent twice is one photo.

    Parameters: upload is a file with `read` and `size`; time_zone is what a camera's clock without one means.
    Errors: ValidationError, a sentence that says what to choose instead.
    """
    client_key = client_key or uuid.uuid4()
    already = Photo.objects.filter(client_key=client_key).first()
    if already:
        return already
    picture, taken_at = _read(upload, time_zone)
    full, thumb = _jpeg(picture, LONGEST_SIDE_PX, 85), _jpeg(picture, THUMB_SIDE_PX, 78)
    kind = kind_of(thing)
    photo = kind.photos(
        **{kind.noun: thing},
        other=kind.other,
        caption=caption.strip()[:120],
        client_key=client_key,
        taken_at=taken_at,
        by=by,
    )
    photo.image.save("photo.jpg", ContentFile(full, "photo.jpg"), save=False)
    photo.thumb.save("thumb.jpg", ContentFile(thumb, "thumb.jpg"), save=False)
    try:
        with transaction.atomic():
            photo.save()
            history_add(thing, by=by, action="photo added", note=photo.caption)
    except IntegrityError:
        _forget_files(photo)
        return Photo.objects.get(client_key=client_key)
    except BaseException:
        _forget_files(photo)
        raise
    return photo


def photo_remove(*, photo: Photo, by: Person | None) -> None:
    """Take a photo away for good; the history of what it hung on says so."""
    with transaction.atomic():
        history_add(thing_of(photo), by=by, action="photo removed", note=photo.caption)
        photo.delete()
        transaction.on_commit(lambda: _forget_files(photo))


def _forget_files(photo: Photo) -> None:
    for file in (photo.image, photo.thumb):
        if file.name:
            file.storage.delete(file.name)


def _read(upload, time_zone: str) -> tuple[Image.Image, datetime | None]:
    """Return the picture upright in plain colours, and when it was taken if the camera said so."""
    if upload.size > MOST_BYTES:
        size_mb = upload.size / 1024 / 1024
        raise ValidationError(
            f"This picture is {size_mb:.0f} MB; the most is {MOST_BYTES // 1024 // 1024} MB. Choose a smaller one."
        )
    data = upload.read()
    if data[4:8] == b"ftyp" and data[8:11] in (b"hei", b"hev", b"mif", b"msf"):
        raise ValidationError(HEIC)
    try:
        picture = Image.open(io.BytesIO(data), formats=KINDS)
        if picture.width * picture.height > MOST_POINTS.get(picture.format or "", MOST_POINTS_OTHERS):
            raise ValidationError(
                f"This picture has {picture.width} x {picture.height} points, too many. Choose a smaller one."
            )
        taken_at = _taken_at(picture, time_zone)
        # A JPEG is decoded at a half or a quarter where that is still large enough: faster, and less memory.
        picture.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
        picture.load()
    except ValidationError:
        raise
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError) as error:
        raise ValidationError(NO_PICTURE) from error
    return _plain_colours(ImageOps.exif_transpose(picture)), taken_at


def _taken_at(picture: Image.Image, time_zone: str) -> datetime | None:
    """When the camera says that it was taken; nothing for a clock that is unset or ahead of ours."""
    exif = picture.getexif().get_ifd(_EXIF_IFD)
    try:
        taken = datetime.strptime(str(exif[_EXIF_TAKEN]).strip("\0 "), "%Y:%m:%d %H:%M:%S")
    except (KeyError, ValueError):
        return None
    try:
        zone = timezone(_offset(str(exif[_EXIF_TAKEN_OFFSET])))
    except (KeyError, ValueError):
        zone = ZoneInfo(time_zone)
    taken = taken.replace(tzinfo=zone)
    return taken if taken.year > 1990 and taken < clock.now() + timedelta(days=1) else None


def _offset(text: str) -> timedelta:
    """Read +01:00 or -05:00."""
    parsed = datetime.strptime(text.strip("\0 "), "%z").utcoffset()
    if parsed is None:
        raise ValueError(text)
    return parsed


def _plain_colours(picture: Image.Image) -> Image.Image:
    """The picture in sRGB without transparency, so that it looks the same once its profile is gone."""
    profile = picture.info.get("icc_profile")
    if profile and picture.mode in ("RGB", "L"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            picture = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
        except ImageCms.PyCMSError:
            pass  # a broken profile: the colours as they are
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        picture = picture.convert("RGBA")
        ground = Image.new("RGBA", picture.size, "white")
        picture = Image.alpha_composite(ground, picture)
    return picture.convert("RGB")


def _jpeg(picture: Image.Image, side_px: int, quality: int) -> bytes:
    """The picture as a JPEG of at most `side_px` a side, with nothing beside its points."""
    small = picture.copy()
    small.thumbnail((side_px, side_px), Image.Resampling.LANCZOS)
    small.info.clear()
    out = io.BytesIO()
    small.save(out, "JPEG", quality=quality, optimize=True, progressive=True)
    return out.getvalue()

"""A photo's file: served by the app, so that only people of the yard see it."""

from django.http import FileResponse, Http404, HttpRequest
from django.shortcuts import get_object_or_404

from yard.models import Photo

A_YEAR_S = 365 * 24 * 3600


def photo_file(request: HttpRequest, pk: int, size: str) -> FileResponse:
    """The picture or its thumbnail. A photo's file never changes, so a browser may keep it for itself."""
    photo = get_object_or_404(Photo.objects.only("image", "thumb"), pk=pk)
    kept = photo.thumb if size == "thumb" else photo.image
    try:
        opened = kept.open("rb")
    except (FileNotFoundError, ValueError):
        raise Http404("The picture's file is missing.") from None
    answer = FileResponse(opened, content_type="image/jpeg")
    answer["Cache-Control"] = f"private, max-age={A_YEAR_S}, immutable"
    return answer

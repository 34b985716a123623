"""The photos of a log, a slab or a stack, with the form that adds some: `{% photos_of slab photos %}`."""

from collections.abc import Sequence
from typing import Any

from django import template
from django.template.context import RequestContext

from yard import access
from yard.forms.photo_form import PhotoForm
from yard.models import Log, Photo, Slab, Stack

register = template.Library()


@register.inclusion_tag("yard/_photos.html", takes_context=True)
def photos_of(context: RequestContext, thing: Log | Slab | Stack, photos: Sequence[Photo]) -> dict[str, Any]:
    """Its photos, the oldest first, as the view fetched them; whoever may can add and remove."""
    return photo_context(context["request"], thing, photos)


def photo_context(
    request: Any, thing: Log | Slab | Stack, photos: Sequence[Photo], form: PhotoForm | None = None
) -> dict[str, Any]:
    """What `yard/_photos.html` needs."""
    return {
        "request": request,
        "thing": thing,
        "noun": thing._meta.model_name,
        "photos": photos,
        "form": form or PhotoForm(),
        "can_add": access.may(request.user, "yard:photo-add", "POST"),
        "can_remove": access.may(request.user, "yard:photo-remove", "POST"),
    }

"""The photos of whatever keeps some, with the form that adds some: `{% photos_of slab photos %}`."""

from collections.abc import Sequence
from typing import Any

from django import template
from django.db.models import Model
from django.template.context import RequestContext

from yard import access
from yard.forms.photo_form import PhotoForm
from yard.models import Photo
from yard.services.photo_things import kind_of

register = template.Library()


@register.inclusion_tag("yard/_photos.html", takes_context=True)
def photos_of(context: RequestContext, thing: Model, photos: Sequence[Photo]) -> dict[str, Any]:
    """Its photos, the oldest first, as the view fetched them; whoever may can add and remove."""
    return photo_context(context["request"], thing, photos)


def photo_context(
    request: Any, thing: Model, photos: Sequence[Photo], form: PhotoForm | None = None
) -> dict[str, Any]:
    """What `yard/_photos.html` needs."""
    return {
        "request": request,
        "thing": thing,
        "kind": kind_of(thing),
        "photos": photos,
        "form": form or PhotoForm(),
        "can_add": access.may(request.user, "yard:photo-add", "POST"),
        "can_remove": access.may(request.user, "yard:photo-remove", "POST"),
    }

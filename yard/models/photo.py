"""Photos of a log, a slab, a stack, or of another app's thing."""

import uuid

from django.db import models
from django.db.models import Q


def photo_path(instance, filename):
    return f"photos/{uuid.uuid4().hex}.jpg"


def thumb_path(instance, filename):
    return f"thumbs/{uuid.uuid4().hex}.jpg"


class Photo(models.Model):
    """A picture, turned upright and stripped of where it was taken, with a thumbnail.

    Another app's thing has its photos in a table of its own that is a `Photo` with one more column; `other` says so.
    """

    log = models.ForeignKey(
        "yard.Log", null=True, blank=True, on_delete=models.CASCADE, related_name="photos"
    )
    slab = models.ForeignKey(
        "yard.Slab", null=True, blank=True, on_delete=models.CASCADE, related_name="photos"
    )
    stack = models.ForeignKey(
        "yard.Stack", null=True, blank=True, on_delete=models.CASCADE, related_name="photos"
    )
    other = models.CharField(max_length=20, blank=True, help_text="Noun of another app's thing, such as run.")
    image = models.ImageField(upload_to=photo_path, width_field="width_px", height_field="height_px")
    thumb = models.ImageField(upload_to=thumb_path)
    width_px = models.PositiveIntegerField(default=0, editable=False)
    height_px = models.PositiveIntegerField(default=0, editable=False)
    caption = models.CharField(max_length=120, blank=True)
    client_key = models.UUIDField(unique=True, default=uuid.uuid4)
    taken_at = models.DateTimeField(null=True, blank=True)
    added_at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey("yard.Person", null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["added_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=(
                    Q(log__isnull=False, slab__isnull=True, stack__isnull=True, other="")
                    | Q(log__isnull=True, slab__isnull=False, stack__isnull=True, other="")
                    | Q(log__isnull=True, slab__isnull=True, stack__isnull=False, other="")
                    | Q(log__isnull=True, slab__isnull=True, stack__isnull=True) & ~Q(other="")
                ),
                name="photo_of_one_thing",
            )
        ]

    def __str__(self):
        return self.caption or f"Photo {self.pk}"

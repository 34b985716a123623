"""Runs keep photos, as the yard's logs, slabs and stacks do; their form stands open beside the kiln."""

from kilns.models import Run, RunPhoto
from yard.services.photo_things import PhotoThing, register


def join() -> None:
    """Let runs keep photos."""
    register(PhotoThing("run", Run, RunPhoto, "kilns:run-page", at_hand=True))

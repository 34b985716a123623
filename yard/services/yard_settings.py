"""The yard's own row: reading it, setting it up, changing it."""

from yard.models import Yard


def the_yard() -> Yard:
    """The yard's row; before set-up an unsaved one with the defaults."""
    return Yard.objects.first() or Yard()

"""Who else wants to know that readings of a sensor came in: an app registers a function, and the yard knows no app.

A listener runs after the readings are kept, whether they came by post or in a file; what goes wrong in it is logged
and takes nothing back.
"""

from collections.abc import Callable

from django.db import transaction

from yard.models import Sensor

Listener = Callable[[Sensor], object]

_LISTENERS: list[Listener] = []


def register(listener: Listener) -> None:
    """Have a function called with the sensor whenever new readings of it are kept; once however often registered."""
    if listener not in _LISTENERS:
        _LISTENERS.append(listener)


def readings_tell(sensor: Sensor) -> None:
    """Call the listeners once the readings are safely kept."""
    for listener in _LISTENERS:
        transaction.on_commit(lambda listener=listener: listener(sensor), robust=True)

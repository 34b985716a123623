"""What has to be looked at every few minutes though nobody asks: an app registers it; server and command do it."""

import logging
from collections.abc import Callable

log = logging.getLogger("yard.watch")

EVERY_S = 300.0  # how often the program's own server looks (our own choice)

Watch = Callable[[], str]
"""Does its work and says in a sentence what it found; empty: nothing."""

_WATCHES: list[Watch] = []


def register(watch: Watch) -> None:
    """Have something looked at every few minutes; once however often registered."""
    if watch not in _WATCHES:
        _WATCHES.append(watch)


def watches_do() -> list[str]:
    """Do all of them once; one that fails is logged and does not hold up the others. Returns what they say."""
    said = []
    for watch in _WATCHES:
        try:
            said.append(watch())
        except Exception:
            log.exception("a watch failed; it is tried again")
    return [words for words in said if words]

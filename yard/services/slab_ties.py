"""What another app says against a slab being split, voided or given another owner: it may be promised to a buyer.

The yard knows no other app by name. Each registers in its `AppConfig.ready` a function that answers with a sentence,
or with nothing where it has no tie.
"""

from collections.abc import Callable

from yard.models import Slab
from yard.services.refused import SlabRefused

_TIES: list[Callable[[Slab], str]] = []


def register(tie: Callable[[Slab], str]) -> None:
    """Let an app be asked, once."""
    if tie not in _TIES:
        _TIES.append(tie)


def refuse_tied(slab: Slab, field: str = "") -> None:
    """Errors: SlabRefused with the first sentence that any app says against it."""
    for tie in _TIES:
        if words := tie(slab):
            raise SlabRefused(words, field)

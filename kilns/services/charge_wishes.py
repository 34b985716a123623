"""Who wants wood of which stack, and by when: told by whoever sells, since kilns know nothing of selling."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Wish:
    """What a stack's wood is promised for, in words, and the day on which it must be dry."""

    words: str
    by: date | None


_ASKED: list[Callable[[Iterable[int]], Mapping[int, list[Wish]]]] = []


def register(wishes_of: Callable[[Iterable[int]], Mapping[int, list[Wish]]]) -> None:
    """Add a function that answers stack ids with their wishes, in a fixed number of queries; once."""
    if wishes_of not in _ASKED:
        _ASKED.append(wishes_of)


def wishes(stack_ids: Iterable[int]) -> dict[int, list[Wish]]:
    """The wishes of each stack, the earliest first; stacks that nobody waits for are left out."""
    ids, found = list(stack_ids), {}
    for wishes_of in _ASKED:
        for stack_id, more in wishes_of(ids).items():
            found.setdefault(stack_id, []).extend(more)
    for some in found.values():
        some.sort(key=lambda wish: wish.by or date.max)
    return found

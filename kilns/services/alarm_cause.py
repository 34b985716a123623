"""What a rule finds: a cause for an alarm, in words with its numbers, and what to do about it."""

from collections.abc import Callable
from dataclasses import dataclass

INFO, CAUTION, DANGER = "info", "caution", "danger"
RANK = {INFO: 0, CAUTION: 1, DANGER: 2}

IsOpen = Callable[[str, str], bool]
"""Whether an alarm of this kind is open about this: then a rule holds on to it a little beyond its limit."""


@dataclass(frozen=True)
class Cause:
    """Something wrong or due; `about` says which layer, sensor or sample where there may be several."""

    kind: str
    level: str
    words: str
    what_to_do: str
    about: str = ""
    value: float | None = None
    limit: float | None = None


@dataclass(frozen=True)
class Verdict:
    """What one rule says: the kinds that it could judge now, and the causes found; a kind not judged stays as it is."""

    judged: frozenset[str]
    causes: tuple[Cause, ...] = ()


CANNOT_TELL = Verdict(frozenset())


def verdict(*kinds: str, causes: list[Cause] | None = None) -> Verdict:
    """A verdict on these kinds."""
    return Verdict(frozenset(kinds), tuple(causes or ()))

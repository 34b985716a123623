"""One thing that goes wrong in the yard, as lists show it."""

from dataclasses import dataclass

DANGER, CAUTION, INFO = "danger", "caution", "info"


@dataclass(frozen=True, slots=True)
class Risk:
    """What it is about, its number, what it is, why it matters, what to do; `kind` tells them apart in code."""

    kind: str
    level: str
    about: str
    number: str
    words: str
    why: str
    do: str
    href: str

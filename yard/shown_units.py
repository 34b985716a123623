"""Units and currency in which the person of this request sees and types quantities."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Literal

System = Literal["imperial", "metric"]
IMPERIAL: System = "imperial"
METRIC: System = "metric"


@dataclass(frozen=True)
class Shown:
    """How quantities are written for one person."""

    units: System = IMPERIAL
    currency: str = "USD"

    @property
    def metric(self) -> bool:
        return self.units == METRIC


_DEFAULT = Shown()
_now: ContextVar[Shown] = ContextVar("shown_units", default=_DEFAULT)


def shown() -> Shown:
    """What applies now: in this request, or in the `showing` block around the call."""
    return _now.get()


@contextmanager
def showing(units: str = IMPERIAL, currency: str = "USD") -> Iterator[Shown]:
    """Show quantities in these units inside the block."""
    chosen = Shown(METRIC if units == METRIC else IMPERIAL, currency)
    token = _now.set(chosen)
    try:
        yield chosen
    finally:
        _now.reset(token)

"""A figure of a kiln sheet, or the words for why there is none."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from yard.wood.ranges import OutsideRange
from yard.wood.species import UnknownSpecies
from yard.wood.working import Working


@dataclass(frozen=True)
class Figure:
    """A value with its working; or `refusal`, when the physics cannot say."""

    value: Any = None
    working: Working | None = None
    refusal: str = ""


def figure(make: Callable[[], Any], working: Callable[[], Working] | None = None) -> Figure:
    """Make a figure; what lies outside the range of its source becomes its refusal."""
    try:
        value = make()
        return Figure(value, working() if working and value is not None else None)
    except (OutsideRange, UnknownSpecies) as error:
        text = str(error).rstrip(".")
        return Figure(refusal=f"{text[:1].upper()}{text[1:]}.")

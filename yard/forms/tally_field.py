"""A lot's boards by width: `6 6 7 8x3` is two of 6 in, one of 7 and three of 8."""

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from yard.quantities import number
from yard.shown_units import shown
from yard.wood import typed, units
from yard.wood.ranges import OutsideRange
from yard.wood.typed import CannotRead

MOST_CHARACTERS = 4000
_TIMES = re.compile(r"\s*[x×*]\s*(?=[0-9]+\s*(?:$|[;,\s]))", re.IGNORECASE)


class TallyField(forms.CharField):
    """Widths with how many of each; cleaned to [(width_in, count), ...], the narrowest first."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=MOST_CHARACTERS, **kwargs)
        self.widget.attrs |= {"autocomplete": "off"}

    @property
    def unit(self) -> str:
        return typed.default_unit("width", shown().units)

    def clean(self, value: Any) -> list[tuple[float, int]]:
        text = super().clean(value)
        counts: dict[float, int] = {}
        for word in _words(text or ""):
            width_in, count = self._line(word)
            counts[width_in] = counts.get(width_in, 0) + count
        return sorted(counts.items())

    def _line(self, word: str) -> tuple[float, int]:
        width, _, times = word.partition("×")
        try:
            return typed.read_width_in(width, self.unit).value, typed.read_whole(times) if times else 1
        except (CannotRead, OutsideRange) as error:
            raise ValidationError(f"{error} Boards of one width are typed like 8x3.") from None

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, (list, tuple)):
            return value
        scale = units.MM_PER_IN / 10 if shown().metric else 1
        return "; ".join(
            f"{number(width * scale, 4)}x{count}" if count > 1 else number(width * scale, 4) for width, count in value
        )


def _words(text: str) -> list[str]:
    """Part the text; at plain spaces a fraction stays with the figure before it."""
    text = _TIMES.sub("×", text.strip())
    if re.search(r"[;\n]|,\s", text):
        return [word.strip() for word in re.split(r"[;\n]|,\s", text) if word.strip()]
    words: list[str] = []
    for word in text.split():
        if words and "×" not in words[-1] and (word[0] not in "0123456789.," or re.match(r"[0-9]+/[0-9]", word)):
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words
